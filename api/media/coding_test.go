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
		got, err := Decode(bytes.NewReader(coded), coding, int64(len(body)))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(body, got), coding)
		_, err = Decode(bytes.NewReader(coded), coding, int64(len(body))-1)
		assert.ErrorIs(t, err, ErrTooLarge, coding)
	}
}

func TestDecode_Errors(t *testing.T) {
	_, err := Decode(bytes.NewReader(nil), "br", 10)
	assert.ErrorIs(t, err, ErrCoding)
	for _, coding := range []string{Gzip, Zstd} {
		_, err = Decode(bytes.NewReader([]byte("not coded at all")), coding, 100)
		assert.ErrorIs(t, err, ErrDamaged, coding)
		whole := Encode([]byte("some text"), coding)
		_, err = Decode(bytes.NewReader(whole[:len(whole)-3]), coding, 100)
		assert.ErrorIs(t, err, ErrDamaged, coding)
	}
	lost := errors.New("connection lost")
	_, err = Decode(io.MultiReader(bytes.NewReader(Encode(bytes.Repeat([]byte("x"), 1e5), Gzip)[:20]), failing{lost}), Gzip, 1e6)
	assert.ErrorIs(t, err, lost)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
