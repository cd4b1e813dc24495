package weather

import (
	"bufio"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// RFC 4180 but for line ends inside quotes; blanks around fields are cut.
func TestLines_Split(t *testing.T) {
	for _, c := range []struct {
		line  string
		sep   byte
		limit int
		want  []string
		bad   int
	}{
		{"a,b,c", ',', 9, []string{"a", "b", "c"}, 0},
		{" a , b,c ", ',', 9, []string{"a", "b", "c"}, 0},
		{"a,b,c", ',', 2, []string{"a", "b"}, 0},
		{"", ',', 9, []string{""}, 0},
		{"a,,", ',', 9, []string{"a", "", ""}, 0},
		{"a;1,5;c", ';', 9, []string{"a", "1,5", "c"}, 0},
		{"a\t\tc", '\t', 9, []string{"a", "", "c"}, 0},
		{`"a","b,c","d"`, ',', 9, []string{"a", "b,c", "d"}, 0},
		{`a,"say ""so""",c`, ',', 9, []string{"a", `say "so"`, "c"}, 0},
		{`"" , "x" ,y`, ',', 9, []string{"", "x", "y"}, 0},
		{`"a","b"`, ',', 1, []string{"a"}, 0},
		{`a,"b`, ',', 9, []string{"a"}, 2},
		{`"a"x,b`, ',', 9, []string{"a"}, 1},
		{`a,b"c`, ',', 9, []string{"a", `b"c`}, 0},
	} {
		fields, bad := newLines(nil).split([]byte(c.line), c.sep, c.limit)
		got := make([]string, len(fields))
		for i, f := range fields {
			got[i] = string(f)
		}
		assert.Equal(t, c.want, got, c.line)
		assert.Equal(t, c.bad, bad, c.line)
	}
}

func TestLines_Next(t *testing.T) {
	l := newLines(bufio.NewReaderSize(strings.NewReader("\ufeffone\r\ntwo\n\nlast"), 64))
	for i, want := range []string{"one", "two", "", "last"} {
		line, err := l.next()
		assert.NoError(t, err)
		assert.Equal(t, want, string(line))
		assert.Equal(t, i+1, l.number)
	}
	_, err := l.next()
	assert.Equal(t, io.EOF, err)
}
