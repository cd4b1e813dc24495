package api

import (
	"container/list"
	"sync"
)

// recent keeps the values that were used last, up to a total weight.
type recent[K comparable, V any] struct {
	most   int64
	weigh  func(V) int64
	mu     sync.Mutex
	weight int64
	byKey  map[K]*list.Element
	order  *list.List // of recentItem, the latest used first
}

type recentItem[K comparable, V any] struct {
	key    K
	value  V
	weight int64
}

func newRecent[K comparable, V any](most int64, weigh func(V) int64) *recent[K, V] {
	return &recent[K, V]{most: most, weigh: weigh, byKey: map[K]*list.Element{}, order: list.New()}
}

// put keeps a value in place of one with the same key, and forgets those that
// were not used for longest until the rest is light enough. One that is too
// heavy by itself is not kept.
func (r *recent[K, V]) put(key K, value V) {
	weight := r.weigh(value)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.remove(key)
	if weight > r.most {
		return
	}
	r.byKey[key] = r.order.PushFront(recentItem[K, V]{key, value, weight})
	r.weight += weight
	for r.weight > r.most {
		r.remove(r.order.Back().Value.(recentItem[K, V]).key)
	}
}

// get finds a value.
func (r *recent[K, V]) get(key K) (value V, ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	e, ok := r.byKey[key]
	if !ok {
		return value, false
	}
	r.order.MoveToFront(e)
	return e.Value.(recentItem[K, V]).value, true
}

// drop forgets a value.
func (r *recent[K, V]) drop(key K) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.remove(key)
}

func (r *recent[K, V]) remove(key K) {
	if e, ok := r.byKey[key]; ok {
		r.weight -= e.Value.(recentItem[K, V]).weight
		r.order.Remove(e)
		delete(r.byKey, key)
	}
}

// len is how many are kept.
func (r *recent[K, V]) len() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.order.Len()
}
