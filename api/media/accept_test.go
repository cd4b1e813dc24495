package media

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// RFC 9110 §12.5.1, with its own examples where they fit.
func TestChoose(t *testing.T) {
	for _, c := range []struct {
		accept string
		want   string
	}{
		{"", JSON},
		{"  ", JSON},
		{"*/*", JSON},
		{"text/*", CSV},
		{"text/csv", CSV},
		{"text/csv;q=0.3, */*;q=0.2", CSV},
		{"text/csv; q=0.3, */*; q=0.4", JSON},     // a range for the others, lower for CSV
		{"application/json;q=0.5, text/csv", CSV}, // q is 1 when left out
		{"application/json;q=0, */*;q=0.1", CSV},  // the specific range excludes
		{"*/*;q=0.1, application/json;q=0", CSV},  // whatever the order
		{"application/*;q=0.2, text/csv;q=0.1", JSON},
		{"application/vnd.apache.parquet, application/json;q=0.9", Parquet},
		{"Text/CSV;Q=0.7", CSV},
		{"text/csv;header=present", CSV},
		{"text/csv;q=banana, application/json;q=0.1", JSON}, // a weight that is none
		{"text/csv;q=2, application/json;q=0.1", JSON},
		{"*", JSON},
		{"text/html", ""},
		{"text/html, image/*", ""},
		{"application/json;q=0", ""},
		{"*/*;q=0", ""},
		{",,,", ""},
	} {
		got, ok := Choose(c.accept, JSON, CSV, Parquet)
		assert.Equal(t, c.want, got, c.accept)
		assert.Equal(t, c.want != "", ok, c.accept)
	}
}

// RFC 9110 §12.5.3.
func TestChooseCoding(t *testing.T) {
	for _, c := range []struct{ accept, want string }{
		{"", Identity},
		{"gzip", Gzip},
		{"x-gzip", Gzip},
		{"gzip, deflate, br, zstd", Zstd},
		{"gzip;q=1.0, zstd;q=0.5", Gzip},
		{"gzip;q=0.001", Gzip},
		{"br", Identity},
		{"*", Zstd},
		{"*;q=0.5, zstd;q=0", Gzip},
		{"gzip;q=0", Identity},
		{"identity;q=1, *;q=0", Identity},
		{"identity;q=0.5, gzip;q=0.4", Identity},
		{"identity;q=0, br", ""},
		{"*;q=0", ""},
		{"identity;q=0, *", Zstd},
	} {
		got, ok := ChooseCoding(c.accept, Codings...)
		assert.Equal(t, c.want, got, c.accept)
		assert.Equal(t, c.want != "", ok, c.accept)
	}
}

// Whatever a client sends, the choice is one of the offers, or none.
func FuzzChoose(f *testing.F) {
	for _, s := range []string{"", "*/*", "text/csv;q=0.5, */*;q=0", ";;;,q=", "a/b;q=1e9", "\x00, text/\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, accept string) {
		got, ok := Choose(accept, JSON, CSV)
		if ok != (got == JSON || got == CSV) || !ok && got != "" {
			t.Fatalf("%q: %q, %t", accept, got, ok)
		}
		coding, ok := ChooseCoding(accept, Codings...)
		if !ok && coding != "" || ok && coding != Zstd && coding != Gzip && coding != Identity {
			t.Fatalf("%q: %q, %t", accept, coding, ok)
		}
	})
}
