package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"mime"
	"net/http"
	"path"
	"strings"
)

//go:embed assets
var assetFiles embed.FS

// assets are by the name in their address, "skep-1a2b3c4d.css": the content is in the
// name, so that a browser may keep each for good.
var assets, addresses = readAssets()

type asset struct {
	body []byte
	kind string
}

func readAssets() (map[string]asset, map[string]string) {
	files, err := assetFiles.ReadDir("assets")
	if err != nil {
		panic("web: " + err.Error())
	}
	byName, address := map[string]asset{}, map[string]string{}
	for _, f := range files {
		body, err := assetFiles.ReadFile(path.Join("assets", f.Name()))
		if err != nil {
			panic("web: " + err.Error())
		}
		sum := sha256.Sum256(body)
		stem, ending, _ := strings.Cut(f.Name(), ".")
		name := fmt.Sprintf("%s-%s.%s", stem, hex.EncodeToString(sum[:4]), ending)
		byName[name] = asset{body, mime.TypeByExtension(path.Ext(name))}
		address[f.Name()] = "/assets/" + name
	}
	return byName, address
}

// assetAddress is the address of a file under assets.
func assetAddress(file string) (string, error) {
	a, ok := addresses[file]
	if !ok {
		return "", fmt.Errorf("there is no asset %q", file)
	}
	return a, nil
}

func serveAsset(w http.ResponseWriter, r *http.Request) {
	a, ok := assets[r.PathValue("file")]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", a.kind)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	if _, err := w.Write(a.body); err != nil {
		return // the browser went away
	}
}
