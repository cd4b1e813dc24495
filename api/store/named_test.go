package store

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func putVersion(t testing.TB, s *Store, name, head, body string) int {
	t.Helper()
	last, err := s.Last("systems", name)
	require.NoError(t, err)
	n, err := s.PutVersion("systems", name, last, []byte(head), []byte(body), nil)
	require.NoError(t, err)
	return n
}

func readVersion(t testing.TB, s *Store, name string, number int) string {
	t.Helper()
	head, body, err := s.ReadVersion("systems", name, number)
	require.NoError(t, err)
	return string(head) + " " + string(body)
}

// Every version of a name can be read, by this process and by the next one.
func TestNamed_SurvivesRestart(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	for n := range 11 { // 10 comes after 9
		assert.Equal(t, n+1, putVersion(t, s, "hut", "h", strconv.Itoa(n+1)))
	}
	putVersion(t, s, "barn_2-a", "h", "b")
	for _, s := range []*Store{s, open(t, dir)} {
		last, err := s.Last("systems", "hut")
		require.NoError(t, err)
		assert.Equal(t, 11, last)
		assert.Equal(t, "h 11", readVersion(t, s, "hut", last))
		assert.Equal(t, "h 1", readVersion(t, s, "hut", 1))
		head, err := s.VersionHead("systems", "hut", 2)
		require.NoError(t, err)
		assert.Equal(t, "h", string(head))
		names, err := s.Names("systems")
		require.NoError(t, err)
		assert.Equal(t, []string{"barn_2-a", "hut"}, names)
		list, err := s.Versions("systems", "hut")
		require.NoError(t, err)
		require.Len(t, list, 11)
		bytes := int64(0)
		for _, v := range list {
			bytes += v.Bytes
		}
		other, err := s.Versions("systems", "barn_2-a")
		require.NoError(t, err)
		assert.Equal(t, bytes+other[0].Bytes, s.Used())
	}
	none, err := s.Names("other")
	require.NoError(t, err)
	assert.Empty(t, none)
}

func TestNamed_NotFound(t *testing.T) {
	s := open(t, t.TempDir())
	putVersion(t, s, "hut", "h", "b")
	for _, name := range []string{"", ".", "..", "a/b", "../tmp", "Hut", "hut\n", strings.Repeat("a", 65)} {
		assert.False(t, IsName(name), name)
		_, _, err := s.ReadVersion("systems", name, 1)
		assert.ErrorIs(t, err, ErrNotFound, name)
		_, err = s.VersionHead("systems", name, 1)
		assert.ErrorIs(t, err, ErrNotFound, name)
		_, err = s.Versions("systems", name)
		assert.ErrorIs(t, err, ErrNotFound, name)
		assert.Panics(t, func() { _, _ = s.PutVersion("systems", name, 0, []byte("h"), nil, nil) })
	}
	for _, n := range []int{-1, 0, 2} {
		_, _, err := s.ReadVersion("systems", "hut", n)
		assert.ErrorIs(t, err, ErrNotFound, n)
	}
	last, err := s.Last("systems", "barn")
	require.NoError(t, err)
	assert.Zero(t, last)
	assert.ErrorIs(t, s.RemoveName("systems", "barn", 0), ErrNotFound)
}

// Whoever does not know the last version changes nothing.
func TestNamed_Changed(t *testing.T) {
	dir := t.TempDir()
	s, other := open(t, dir), open(t, dir) // as two processes have it
	putVersion(t, s, "hut", "h", "1")
	used := s.Used()
	for _, after := range []int{0, 2} {
		_, err := s.PutVersion("systems", "hut", after, []byte("h"), []byte("x"), nil)
		assert.ErrorIs(t, err, ErrChanged)
	}
	refused := errors.New("refused")
	_, err := s.PutVersion("systems", "hut", 1, []byte("h"), []byte("x"), func() error { return refused })
	assert.ErrorIs(t, err, refused)
	assert.Equal(t, used, s.Used())
	assert.Equal(t, 2, putVersion(t, other, "hut", "h", "2"))
	_, err = s.PutVersion("systems", "hut", 1, []byte("h"), []byte("x"), nil)
	assert.ErrorIs(t, err, ErrChanged)
	assert.ErrorIs(t, s.RemoveName("systems", "hut", 1), ErrChanged)
	assert.Equal(t, "h 2", readVersion(t, s, "hut", 2))
	left, err := os.ReadDir(filepath.Join(dir, "tmp"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// A version that was removed is never another one.
func TestNamed_Removed(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	putVersion(t, s, "hut", "h", "1")
	putVersion(t, s, "hut", "h", "2")
	require.NoError(t, s.RemoveName("systems", "hut", 2))
	for _, s := range []*Store{s, open(t, dir)} {
		names, err := s.Names("systems")
		require.NoError(t, err)
		assert.Empty(t, names)
		_, err = s.Versions("systems", "hut")
		assert.ErrorIs(t, err, ErrNotFound)
		_, _, err = s.ReadVersion("systems", "hut", 2)
		assert.ErrorIs(t, err, ErrNotFound)
		assert.Equal(t, 3*emptyBytes, s.Used())
	}
	assert.Equal(t, 4, putVersion(t, s, "hut", "h", "4"))
	_, _, err := s.ReadVersion("systems", "hut", 1)
	assert.ErrorIs(t, err, ErrNotFound)
	list, err := s.Versions("systems", "hut")
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, 4, list[0].Number)
}

// Of many who change the same version, in two processes, one succeeds.
func TestNamed_AtOnce(t *testing.T) {
	dir := t.TempDir()
	both := []*Store{open(t, dir), open(t, dir)}
	var all sync.WaitGroup
	var made atomic.Int32
	for n := range 16 {
		all.Go(func() {
			_, err := both[n%2].PutVersion("systems", "hut", 0, []byte("h"), []byte(strconv.Itoa(n)), nil)
			if err == nil {
				made.Add(1)
			} else {
				assert.ErrorIs(t, err, ErrChanged)
			}
		})
	}
	all.Wait()
	assert.Equal(t, int32(1), made.Load())
	last, err := both[0].Last("systems", "hut")
	require.NoError(t, err)
	assert.Equal(t, 1, last)
}

func TestNamed_Damaged(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	putVersion(t, s, "hut", "head", "body")
	file := s.version("systems", "hut", 1)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	data[len(data)-1] ^= 1
	require.NoError(t, os.WriteFile(file, data, 0o600))
	_, _, err = s.ReadVersion("systems", "hut", 1)
	assert.ErrorIs(t, err, ErrDamaged)
	assert.Equal(t, 2, putVersion(t, s, "hut", "head", "body"), "and the name goes on")
}
