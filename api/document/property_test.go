package document

import (
	"fmt"
	"math/big"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tree draws any JSON value, at most depth levels deep.
func tree(depth int) *rapid.Generator[*Node] {
	return rapid.Custom(func(t *rapid.T) *Node {
		kinds := 4
		if depth > 0 {
			kinds = 6
		}
		switch rapid.IntRange(0, kinds-1).Draw(t, "kind") {
		case 0:
			return &Node{}
		case 1:
			return BoolOf(rapid.Bool().Draw(t, "bool"))
		case 2:
			return NumberOf(rapid.Float64().Draw(t, "number"))
		case 3:
			return TextOf(rapid.String().Draw(t, "text"))
		case 4:
			return listOf(rapid.SliceOfN(tree(depth-1), 0, 4).Draw(t, "items"))
		default:
			var members []Member
			for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"a", "b", "c", "d", "é", "😀", "\ufb33", ""}), 0, 5, rapid.ID[string]).Draw(t, "names") {
				members = append(members, Member{name, tree(depth-1).Draw(t, "member")})
			}
			return newObject(members)
		}
	})
}

// listOf is an array, in the form that Parse gives it.
func listOf(items []*Node) *Node {
	n := &Node{kind: Array}
	for _, item := range items {
		if item.kind != Number {
			n.items, n.numbers = items, nil
			break
		}
		n.numbers = append(n.numbers, item.number)
	}
	return n
}

// rewritten writes a tree as JSON text in which everything that must not matter
// is drawn: the order of members, white space, escapes, how a number is spelt.
func rewritten(t *rapid.T, n *Node) string {
	space := rapid.SampledFrom([]string{"", "", " ", "\n\t"}).Draw(t, "space")
	switch n.kind {
	case Number:
		forms := []string{strconv.FormatFloat(n.number, 'g', -1, 64), strconv.FormatFloat(n.number, 'e', 17, 64)}
		if n.number == 0 {
			forms = append(forms, "-0", "0.00", "0e7")
		}
		return space + strings.TrimPrefix(rapid.SampledFrom(forms).Draw(t, "form"), "+")
	case Text:
		return space + respelt(t, n.text)
	case Array:
		items := make([]string, n.Len())
		for i := range items {
			items[i] = rewritten(t, n.Item(i))
		}
		return space + "[" + strings.Join(items, ",") + space + "]"
	case Object:
		items := make([]string, len(n.members))
		for i, m := range rapid.Permutation(n.members).Draw(t, "order") {
			items[i] = space + respelt(t, m.Name) + space + ":" + rewritten(t, m.Value)
		}
		return space + "{" + strings.Join(items, ",") + space + "}"
	}
	out, err := Encode(n)
	require.NoError(t, err)
	return string(out)
}

func respelt(t *rapid.T, s string) string {
	if rapid.Bool().Draw(t, "escaped") {
		var b strings.Builder
		for _, unit := range utf16Of(s) {
			fmt.Fprintf(&b, `\u%04x`, unit)
		}
		return `"` + b.String() + `"`
	}
	out, err := jsontext.AppendQuote(nil, s)
	require.NoError(t, err)
	return string(out)
}

func TestEncode_SpellingNeverMatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := tree(3).Draw(t, "tree")
		want, err := Encode(n)
		require.NoError(t, err)
		text := rewritten(t, n)
		m, faults := Parse([]byte(text))
		require.Empty(t, faults, text)
		got, err := Encode(m)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got))
	})
}

func TestHash_MemberOrderNeverMatters(t *testing.T) {
	n := parsed(t, stationJSON)
	var want station
	_, faults := Decode(n, &want)
	require.Empty(t, faults)
	rapid.Check(t, func(t *rapid.T) {
		m, faults := Parse([]byte(rewritten(t, n)))
		require.Empty(t, faults)
		var got station
		_, faults = Decode(m, &got)
		require.Empty(t, faults)
		assert.Equal(t, want, got)
		assert.Equal(t, Hash(want, "w"), Hash(got, "w"))
	})
}

// An exact fraction, rounded once, is the reference for every spelling.
func TestParse_NumbersAreNearestToTheFraction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?(0|[1-9][0-9]{0,18})(\.[0-9]{1,20})?([eE][-+]?[0-9]{1,2})?`).Draw(t, "number")
		exact, ok := new(big.Rat).SetString(text)
		require.True(t, ok)
		want, _ := exact.Float64()
		n, faults := Parse([]byte("[" + text + "]"))
		require.Empty(t, faults)
		assert.Equal(t, want, n.numbers[0], text)
	})
}

// RFC 7396 §2, its pseudo code written out on plain Go maps.
func mergePlain(target, patch any) any {
	p, ok := patch.(map[string]any)
	if !ok {
		return patch
	}
	out := map[string]any{}
	if t, ok := target.(map[string]any); ok {
		for name, v := range t {
			out[name] = v
		}
	}
	for name, v := range p {
		if v == nil {
			delete(out, name)
		} else {
			out[name] = mergePlain(out[name], v)
		}
	}
	return out
}

// plain is a tree as encoding/json reads it.
func plain(n *Node) any {
	switch n.Kind() {
	case Bool:
		return n.number != 0
	case Number:
		return n.number
	case Text:
		return n.text
	case Array:
		list := []any{}
		for i := range n.Len() {
			list = append(list, plain(n.Item(i)))
		}
		return list
	case Object:
		object := map[string]any{}
		for _, m := range n.members {
			object[m.Name] = plain(m.Value)
		}
		return object
	}
	return nil
}

func TestMerge_Properties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkMerge(t, tree(3).Draw(t, "base"), tree(3).Draw(t, "patch"))
	})
}

func checkMerge(t require.TestingT, base, patch *Node) {
	before, beforePatch := plain(base), plain(patch)
	merged := Merge(base, patch)
	assert.Equal(t, mergePlain(before, beforePatch), plain(merged), "as RFC 7396 §2 says")
	assert.Equal(t, plain(merged), plain(Merge(merged, patch)), "idempotent")
	if base.kind == Object {
		assert.Same(t, base, Merge(base, newObject(nil)), "an empty patch changes nothing")
	}
	assert.Equal(t, before, plain(base), "base is not changed")
	assert.Equal(t, beforePatch, plain(patch), "patch is not changed")
	for _, m := range merged.Members() {
		assert.Same(t, m.Value, merged.Get(m.Name), "members are found by name")
	}
}

// One base serves many candidates at the same time (meaningful under -race).
func TestTreesAreSharedSafely(t *testing.T) {
	base, entries := parsed(t, keyed), catalogue(t)
	for i := range 8 {
		t.Run("", func(t *testing.T) {
			t.Parallel()
			for j := range 20 {
				patch, faults := SetText(nil, reflect.TypeFor[station](), "bank.modules", strconv.Itoa(1+i*20+j))
				require.Empty(t, faults)
				n, _, faults := Expand(Merge(base, patch), reflect.TypeFor[station](), entries)
				require.Empty(t, faults)
				var s station
				_, faults = Decode(n, &s)
				require.Empty(t, faults)
				assert.Equal(t, 1+i*20+j, s.Bank.Modules)
				Hash(s)
			}
		})
	}
}
