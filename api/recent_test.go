package api

import (
	"testing"

	"pgregory.net/rapid"
)

// Whatever is done to it, it holds what a plain list of the latest used would.
func TestRecent_LikeAList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type pair struct{ key, weight int }
		r := newRecent[int](10, func(weight int) int64 { return int64(weight) })
		var list []pair // the latest first
		without := func(key int) (out []pair) {
			for _, p := range list {
				if p.key != key {
					out = append(out, p)
				}
			}
			return out
		}
		for range rapid.IntRange(1, 50).Draw(t, "steps") {
			key := rapid.IntRange(0, 5).Draw(t, "key")
			switch rapid.IntRange(0, 2).Draw(t, "what") {
			case 0:
				weight := rapid.IntRange(0, 12).Draw(t, "weight")
				r.put(key, weight)
				if list = without(key); weight <= 10 {
					list = append([]pair{{key, weight}}, list...)
				}
				for total := 0; ; total = 0 {
					for _, p := range list {
						total += p.weight
					}
					if total <= 10 {
						break
					}
					list = list[:len(list)-1]
				}
			case 1:
				want := -1
				for _, p := range list {
					if p.key == key {
						want = p.weight
						list = append([]pair{p}, without(key)...)
						break
					}
				}
				got, ok := r.get(key)
				if ok != (want >= 0) || ok && got != want {
					t.Fatalf("key %d: %d, %t instead of %d", key, got, ok, want)
				}
			case 2:
				r.drop(key)
				list = without(key)
			}
			if r.len() != len(list) {
				t.Fatalf("%d kept instead of %d", r.len(), len(list))
			}
		}
	})
}
