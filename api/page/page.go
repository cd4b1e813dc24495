// Package page is what people see at the service's address: two battery banks
// side by side on one site. Its files are static and embedded; they ask the
// service as any other client does and load nothing from anywhere else.
package page

import (
	"bytes"
	"embed"
	"html/template"
	"io/fs"
	"path"
	"slices"
	"strings"
)

//go:embed static
var static embed.FS

// Prefix is where the files are found; the page refers to them by it.
const Prefix = "/page/"

// Policy is the content security policy that the page works under: everything
// from the service itself, no script and no style in the markup.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// File is one file of the page.
type File struct {
	MediaType string
	Body      []byte
}

// mediaTypes are those of the files by extension; a file of another kind is not
// sent.
var mediaTypes = map[string]string{
	".js":   "text/javascript",
	".css":  "text/css",
	".json": "application/json",
	".svg":  "image/svg+xml",
	".txt":  "text/plain",
}

// Find is the file at a path below Prefix.
func Find(name string) (File, bool) {
	mediaType, known := mediaTypes[path.Ext(name)]
	if !known || !fs.ValidPath(name) {
		return File{}, false
	}
	body, err := static.ReadFile("static/" + name)
	if err != nil {
		return File{}, false
	}
	return File{mediaType, body}, true
}

// Index writes the page itself: the frame that the scripts fill, and the
// cautions, which stand there even when no script runs.
func Index(cautions []string, engine string) []byte { return frame("index.html", cautions, engine) }

// Report writes the frame of the report.
func Report(cautions []string, engine string) []byte { return frame("report.html", cautions, engine) }

func frame(name string, cautions []string, engine string) []byte {
	t := template.Must(template.ParseFS(static, "static/"+name))
	var out bytes.Buffer
	err := t.Execute(&out, struct {
		Scripts  []string
		Cautions []string
		Engine   string
	}{scripts(strings.TrimSuffix(name, ".html")), cautions, engine})
	if err != nil {
		panic("page: " + err.Error())
	}
	return out.Bytes()
}

// scripts lists the modules, so that a browser fetches them all at once and not
// one after the other as it meets their imports. What only the other frame needs
// is left out.
func scripts(frame string) []string {
	other := map[string][]string{
		"index":  {"report", "sharp", "stated", "in_short", "sheet"},
		"report": {"main", "form", "fields", "generator_sets", "presence", "pairs", "own_files", "upload", "quality", "study", "map"},
	}[frame]
	var list []string
	err := fs.WalkDir(static, "static", func(name string, _ fs.DirEntry, err error) error {
		if path.Ext(name) == ".js" && !slices.Contains(other, strings.TrimSuffix(path.Base(name), ".js")) {
			list = append(list, Prefix+strings.TrimPrefix(name, "static/"))
		}
		return err
	})
	if err != nil {
		panic("page: " + err.Error())
	}
	return list
}
