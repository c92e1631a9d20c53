package app

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"skep/internal/store"
)

// Device is a phone or another browser of the home network that was let in.
type Device struct {
	ID      string    `json:"id"` // digest of its key; the key itself is kept nowhere but in the device
	Name    string    `json:"name"`
	Paired  time.Time `json:"paired"`
	Seen    time.Time `json:"seen"` // day on which it last asked
	Revoked bool      `json:"revoked"`
}

// ErrNotPaired says that a device is not known, or no longer.
var ErrNotPaired = errors.New("this device is not paired with the cellar")

// longestDeviceName is in letters.
const longestDeviceName = 60

// Pair lets a device in under a name and returns the key that it shows from then on.
//
// Errors: *AskError for a name that is empty or too long.
func (c *Cellar) Pair(ctx context.Context, name string) (key string, d Device, err error) {
	if d.Name, err = deviceName(name); err != nil {
		return "", d, err
	}
	secret := make([]byte, 32)
	if _, err := rand.Read(secret); err != nil {
		return "", d, err
	}
	key = hex.EncodeToString(secret)
	d.ID, d.Paired, d.Seen = digest(key), c.Now(), c.Now()
	return key, d, c.store.Put(ctx, store.Devices, d.ID, d)
}

func deviceName(words string) (string, error) {
	name := strings.TrimSpace(words)
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return "", ask("name", words, `write whose it is: "Ada's phone"`, errors.New("the device has no name"))
	case n > longestDeviceName:
		return "", ask("name", words, "", fmt.Errorf("%d letters are more than %d", n, longestDeviceName))
	}
	return name, nil
}

func digest(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:])
}

// Device returns the device that shows a key, and notes the day.
//
// Errors: ErrNotPaired.
func (c *Cellar) Device(ctx context.Context, key string) (Device, error) {
	var d Device
	err := c.store.Get(ctx, store.Devices, digest(key), &d)
	if errors.Is(err, store.ErrNotFound) || err == nil && d.Revoked {
		return Device{}, ErrNotPaired
	}
	if now := c.Now(); err == nil && now.Sub(d.Seen) > 24*time.Hour {
		d.Seen = now
		err = c.store.Put(ctx, store.Devices, d.ID, d)
	}
	return d, err
}

// Devices lists those that are let in, the latest first.
func (c *Cellar) Devices(ctx context.Context) ([]Device, error) {
	all, err := drawer[Device](ctx, c.store, store.Devices)
	all = slices.DeleteFunc(all, func(d Device) bool { return d.Revoked })
	slices.SortFunc(all, func(a, b Device) int { return b.Paired.Compare(a.Paired) })
	return all, err
}

// NameDevice calls a device by another name.
//
// Errors: *AskError; ErrNotPaired.
func (c *Cellar) NameDevice(ctx context.Context, id, name string) error {
	name, err := deviceName(name)
	if err != nil {
		return err
	}
	return c.changeDevice(ctx, id, func(d *Device) { d.Name = name })
}

// RevokeDevice lets a device in no longer.
//
// Errors: ErrNotPaired.
func (c *Cellar) RevokeDevice(ctx context.Context, id string) error {
	return c.changeDevice(ctx, id, func(d *Device) { d.Revoked = true })
}

func (c *Cellar) changeDevice(ctx context.Context, id string, change func(*Device)) error {
	var d Device
	err := c.store.Get(ctx, store.Devices, id, &d)
	if errors.Is(err, store.ErrNotFound) || err == nil && d.Revoked {
		return ErrNotPaired
	}
	if err != nil {
		return err
	}
	change(&d)
	return c.store.Put(ctx, store.Devices, d.ID, d)
}
