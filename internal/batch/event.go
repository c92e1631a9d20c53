package batch

import (
	"encoding/base32"
	"encoding/binary"
	"time"
)

// Event is one entry of a jug's record.
type Event struct {
	ID       string    // sorts by the time it was made; see NewID
	Jug      string    // the jug's id
	Seq      int       // 1, 2, 3… within the jug, in the order of writing
	At       time.Time // when it happened
	Recorded time.Time // when it was written down
	Happened Happening
}

// Happening is what an event tells: one of Made, Pitched, Looked, Added, Racked,
// Stabilised, Heated, Aimed, Poured, Blended, Moved, Bottled, Shelved, Opened, Tasted,
// Noted, Corrected and Withdrawn, by value.
type Happening interface {
	// Kind is the happening's name in the record: "made", "looked", …
	Kind() string
	check() error
}

// NewID returns an id of 23 small letters and digits that sorts by the millisecond
// of at; random keeps apart what was made in the same one, on whatever machine.
func NewID(at time.Time, random uint64) string {
	var b [14]byte
	binary.BigEndian.PutUint64(b[:8], uint64(at.UnixMilli())<<16)
	binary.BigEndian.PutUint64(b[6:], random)
	return ids.EncodeToString(b[:])
}

// ids keeps the order of the bytes, as the usual base 32 alphabet does not.
var ids = base32.NewEncoding("0123456789abcdefghijklmnopqrstuv").WithPadding(base32.NoPadding)
