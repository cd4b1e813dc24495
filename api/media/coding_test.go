package media

import (
	"bytes"
	"errors"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEncode_RoundTrip(t *testing.T) {
	body := bytes.Repeat([]byte("dark hours "), 10_000)
	for _, coding := range Codings {
		coded := Encode(body, coding)
		assert.True(t, bytes.Equal(coded, Encode(body, coding)), "the same bytes twice")
		got, err := decode(bytes.NewReader(coded), coding)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(body, got), coding)
		assert.Equal(t, coding, CodingOf(coded))
	}
}

// decode reads a body whole.
func decode(r io.Reader, coding string) ([]byte, error) {
	z, err := NewReader(r, coding)
	if err != nil {
		return nil, err
	}
	defer z.Close()
	return io.ReadAll(z)
}

func TestNewReader_Errors(t *testing.T) {
	_, err := decode(bytes.NewReader(nil), "br")
	assert.ErrorIs(t, err, ErrCoding)
	for _, coding := range []string{Gzip, Zstd} {
		_, err = decode(bytes.NewReader([]byte("not coded at all")), coding)
		assert.ErrorIs(t, err, ErrDamaged, coding)
		whole := Encode([]byte("some text"), coding)
		_, err = decode(bytes.NewReader(whole[:len(whole)-3]), coding)
		assert.ErrorIs(t, err, ErrDamaged, coding)
	}
	lost := errors.New("connection lost")
	_, err = decode(io.MultiReader(bytes.NewReader(Encode(bytes.Repeat([]byte("x"), 1e5), Gzip)[:20]), failing{lost}), Gzip)
	assert.ErrorIs(t, err, lost)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
