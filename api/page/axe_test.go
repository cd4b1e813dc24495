package page_test

import (
	"io"
	"os"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/stretchr/testify/require"
)

// axe is the accessibility checker axe-core, which runs in the page under test
// and is never served (testdata/SOURCES.md).
func axe(t *testing.T) string {
	t.Helper()
	f, err := os.Open("testdata/axe-core/axe.min.js.gz")
	require.NoError(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	require.NoError(t, err)
	text, err := io.ReadAll(z)
	require.NoError(t, err)
	return string(text)
}
