package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func open(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(dir, 1<<20)
	require.NoError(t, err)
	return s
}

func id(n int) string { return fmt.Sprintf("w-%032x", n) }

func put(t testing.TB, s *Store, id, head, body string) (added []string) {
	t.Helper()
	b := s.Add()
	require.NoError(t, b.Put(id, []byte(head), []byte(body)))
	added, err := b.Commit()
	require.NoError(t, err)
	return added
}

// What is put can be read, by this process and by the next one.
func TestStore_SurvivesRestart(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	assert.Equal(t, []string{id(1)}, put(t, s, id(1), "head", "body"))
	assert.Empty(t, put(t, s, id(1), "head", "body"), "it was there")
	put(t, s, id(2), "", "")
	for _, s := range []*Store{s, open(t, dir)} {
		head, body, err := s.Read(id(1))
		require.NoError(t, err)
		assert.Equal(t, "head body", string(head)+" "+string(body))
		head, err = s.Head(id(1))
		require.NoError(t, err)
		assert.Equal(t, "head", string(head))
		list, err := s.List("w")
		require.NoError(t, err)
		require.Len(t, list, 2)
		assert.Equal(t, id(1), list[0].ID)
		assert.Equal(t, list[0].Bytes+list[1].Bytes, s.Used())
		assert.WithinDuration(t, time.Now(), list[0].Stored, time.Hour)
		none, err := s.List("l")
		require.NoError(t, err)
		assert.Empty(t, none)
	}
}

func TestStore_NotFound(t *testing.T) {
	s := open(t, t.TempDir())
	for _, name := range []string{id(7), "", ".", "..", "../../etc/passwd", "w-" + strings.Repeat("A", 32), "w-" + strings.Repeat("0", 33), id(7) + "\n"} {
		_, _, err := s.Read(name)
		assert.ErrorIs(t, err, ErrNotFound, name)
		_, err = s.Head(name)
		assert.ErrorIs(t, err, ErrNotFound, name)
		assert.ErrorIs(t, s.Remove(name, nil), ErrNotFound, name)
		assert.False(t, s.Has(name), name)
	}
	assert.Panics(t, func() { _ = s.Add().Put("../x", nil, nil) })
}

// Files belong to the user of the process alone.
func TestStore_Modes(t *testing.T) {
	dir := t.TempDir()
	put(t, open(t, filepath.Join(dir, "a", "b")), id(1), "head", "body")
	for name, mode := range map[string]os.FileMode{"a/b": 0o700, "a/b/content": 0o700, "a/b/tmp": 0o700, "a/b/content/" + id(1): 0o600} {
		info, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.Equal(t, mode, info.Mode().Perm(), name)
	}
}

// A file that was changed in any way is damaged, and is replaced when the same
// content comes again.
func TestStore_Damaged(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	put(t, s, id(1), "head", "body")
	name := filepath.Join(dir, "content", id(1))
	whole, err := os.ReadFile(name)
	require.NoError(t, err)
	for what, data := range map[string]string{
		"empty":        "",
		"cut":          string(whole[:len(whole)-1]),
		"longer":       string(whole) + "x",
		"body changed": strings.Replace(string(whole), "body", "bodz", 1),
		"head changed": strings.Replace(string(whole), "head", "heab", 1),
		"other format": strings.Replace(string(whole), "content 1", "content 2", 1),
		"no line":      strings.Repeat("x", 1000),
		"zeros before": strings.Replace(string(whole), " 4 ", " 04 ", 1),
	} {
		require.NoError(t, os.WriteFile(name, []byte(data), 0o600))
		_, _, err = s.Read(id(1))
		assert.ErrorIs(t, err, ErrDamaged, what)
		if what != "body changed" { // the head is sound
			_, err = s.Head(id(1))
			assert.ErrorIs(t, err, ErrDamaged, what)
		}
	}
	assert.Equal(t, []string{id(1)}, put(t, s, id(1), "head", "body"))
	_, body, err := s.Read(id(1))
	require.NoError(t, err)
	assert.Equal(t, "body", string(body))
	assert.Equal(t, int64(len(whole)), open(t, dir).Used())
}

func TestStore_Remove(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	put(t, s, id(1), "head", "body")
	inUse := errors.New("in use")
	assert.ErrorIs(t, s.Remove(id(1), func() error { return inUse }), inUse)
	assert.True(t, s.Has(id(1)))
	require.NoError(t, s.Remove(id(1), func() error { return nil }))
	assert.False(t, s.Has(id(1)))
	assert.Zero(t, s.Used())
	assert.ErrorIs(t, s.Remove(id(1), nil), ErrNotFound)
	assert.Equal(t, []string{id(1)}, put(t, s, id(1), "head", "body"))
}

// A batch that is not committed leaves nothing, and one that finds no room
// neither.
func TestBatch_AllOrNothing(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	b := s.Add()
	require.NoError(t, b.Put(id(1), []byte("head"), make([]byte, 1000)))
	require.NoError(t, b.Put(id(2), []byte("head"), make([]byte, 1000)))
	assert.Greater(t, s.Used(), int64(2000))
	assert.ErrorIs(t, b.Put(id(3), nil, make([]byte, 1<<20)), ErrFull)
	assert.False(t, s.Has(id(1)))
	b.Discard()
	assert.Zero(t, s.Used())
	left, err := os.ReadDir(filepath.Join(dir, "tmp"))
	require.NoError(t, err)
	assert.Empty(t, left)
	assert.False(t, s.Has(id(1)))
}

// The same content from many at once: one of them adds it.
func TestBatch_AtOnce(t *testing.T) {
	s := open(t, t.TempDir())
	var all sync.WaitGroup
	var mu sync.Mutex
	added := map[string]int{}
	for n := range 16 {
		all.Go(func() {
			b := s.Add()
			assert.NoError(t, b.Put(id(n%2), []byte("head"), []byte("body")))
			ids, err := b.Commit()
			assert.NoError(t, err)
			mu.Lock()
			defer mu.Unlock()
			for _, one := range ids {
				added[one]++
			}
		})
	}
	all.Wait()
	assert.Equal(t, map[string]int{id(0): 1, id(1): 1}, added)
	list, err := s.List("")
	require.NoError(t, err)
	assert.Equal(t, list[0].Bytes+list[1].Bytes, s.Used())
}

func TestSpool(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	p, err := s.Spool(strings.NewReader("a stream"), 8)
	require.NoError(t, err)
	for range 2 {
		text, err := io.ReadAll(p)
		require.NoError(t, err)
		assert.Equal(t, "a stream", string(text))
		_, err = p.Seek(0, io.SeekStart)
		require.NoError(t, err)
	}
	assert.Equal(t, int64(8), s.Used())
	require.NoError(t, p.Close())
	broken := errors.New("broken")
	for want, make := range map[error]func() (*Spool, error){
		ErrTooLong: func() (*Spool, error) { return s.Spool(strings.NewReader("a stream"), 7) },
		ErrFull:    func() (*Spool, error) { return s.Spool(strings.NewReader(strings.Repeat("x", 2<<20)), 3<<20) },
		broken:     func() (*Spool, error) { return s.Spool(iotest.ErrReader(broken), 8) },
	} {
		_, err := make()
		assert.ErrorIs(t, err, want)
		var reading ReadError
		assert.Equal(t, want == broken, errors.As(err, &reading), "the stream's own failure is told apart")
	}
	assert.Zero(t, s.Used())
	left, err := os.ReadDir(filepath.Join(dir, "tmp"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// What a process that ended early left behind is swept up a day later.
func TestOpen_Sweeps(t *testing.T) {
	dir := t.TempDir()
	open(t, dir)
	old, fresh := filepath.Join(dir, "tmp", "put-1"), filepath.Join(dir, "tmp", "put-2")
	for _, name := range []string{old, fresh} {
		require.NoError(t, os.WriteFile(name, nil, 0o600))
	}
	yesterday := time.Now().Add(-25 * time.Hour)
	require.NoError(t, os.Chtimes(old, yesterday, yesterday))
	open(t, dir)
	assert.NoFileExists(t, old)
	assert.FileExists(t, fresh)
}

func TestOpen_Refused(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Open(file, 1)
	assert.Error(t, err)
}

// FuzzUnseal: data are refused, or are what seal writes.
func FuzzUnseal(f *testing.F) {
	for _, parts := range [][2]string{{"", ""}, {"head", "body"}, {"{}", "PAR1\n\x00PAR1"}} {
		f.Add(append(seal([]byte(parts[0]), []byte(parts[1])), parts[0]+parts[1]...))
	}
	f.Add([]byte("bankyear content 1 4611686018427387903 x 4611686018427387903 y\n"))
	f.Add([]byte("bankyear content 1 00 x 0 y\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		head, body, err := unseal(data)
		alone, headErr := unsealHead(strings.NewReader(string(data)), int64(len(data)))
		if err != nil {
			if !errors.Is(err, ErrDamaged) {
				t.Fatal(err)
			}
			return
		}
		if headErr != nil || string(alone) != string(head) {
			t.Fatalf("the head alone: %q, %v", alone, headErr)
		}
		again := append(append(seal(head, body), head...), body...)
		if string(again) != string(data) {
			t.Fatalf("%q written again is %q", data, again)
		}
	})
}
