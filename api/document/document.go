// Package document is the raw JSON of a request, from bytes to a checked Go
// value and from a Go value to the bytes that its hash is made of.
//
// The order is always the same, over HTTP and on the command line:
//
//	Parse   bytes to a tree; every lexical fault with its JSON Pointer
//	Merge   a candidate's merge patch onto its base (RFC 7396); Set makes
//	        such a patch from a dotted path
//	Expand  catalogue entries named by a "key" replaced by their values
//	Decode  the tree to a Go value, strictly; defaults filled and listed
//	Encode  a Go value to canonical JSON (RFC 8785), Hash its SHA-256
//
// A tree is never changed once it is built: Merge, Expand and Set return new
// trees that share the parts that stayed the same, so that one base serves many
// candidates at the same time.
package document

import "strconv"

// Kind is what a JSON value is.
type Kind uint8

// The kinds of JSON value.
const (
	Null Kind = iota
	Bool
	Number
	Text
	Array
	Object
)

// Node is one JSON value. The zero Node is null. A Node holds no reference to
// the bytes that it was parsed from, and is safe for concurrent use.
type Node struct {
	kind    Kind
	partial bool    // an object whose catalogue key is not known: see Expand
	number  float64 // of a Number; 1 for true
	text    string
	// An array whose items are all numbers is kept as numbers alone; any other
	// array as items.
	numbers []float64
	items   []*Node
	members []Member
	index   map[string]int // of members, when there are many
}

// Member is a name and its value in an object.
type Member struct {
	Name  string
	Value *Node
}

// manyMembers is the size of an object from which a lookup is by map.
const manyMembers = 16

// newObject takes members with unique names.
func newObject(members []Member) *Node {
	n := &Node{kind: Object, members: members}
	if len(members) > manyMembers {
		n.index = make(map[string]int, len(members))
		for i, m := range members {
			n.index[m.Name] = i
		}
	}
	return n
}

// NumberOf is a number. It must be finite.
func NumberOf(x float64) *Node { return &Node{kind: Number, number: x + 0} }

// TextOf is a string.
func TextOf(s string) *Node { return &Node{kind: Text, text: s} }

// BoolOf is true or false.
func BoolOf(b bool) *Node {
	if b {
		return &Node{kind: Bool, number: 1}
	}
	return &Node{kind: Bool}
}

// Kind is what the value is. A nil Node counts as null.
func (n *Node) Kind() Kind {
	if n == nil {
		return Null
	}
	return n.kind
}

// Get is the member of an object, or nil when there is none or n is no object.
func (n *Node) Get(name string) *Node {
	if i := n.find(name); i >= 0 {
		return n.members[i].Value
	}
	return nil
}

// find is the place of a member of an object, -1 when there is none.
func (n *Node) find(name string) int {
	if n == nil {
		return -1
	}
	if n.index != nil {
		if i, ok := n.index[name]; ok {
			return i
		}
		return -1
	}
	for i := range n.members {
		if n.members[i].Name == name {
			return i
		}
	}
	return -1
}

// Members are the members of an object in the order given. The caller must not
// change them.
func (n *Node) Members() []Member {
	if n == nil {
		return nil
	}
	return n.members
}

// Len is the number of items of an array.
func (n *Node) Len() int {
	if n == nil {
		return 0
	}
	return len(n.numbers) + len(n.items) // one of them is empty
}

// Item is item i of an array; it panics when there is none.
func (n *Node) Item(i int) *Node {
	if n.numbers != nil {
		return &Node{kind: Number, number: n.numbers[i]}
	}
	return n.items[i]
}

// Text is the value of a string.
func (n *Node) Text() (string, bool) {
	if n == nil || n.kind != Text {
		return "", false
	}
	return n.text, true
}

// Float is the value of a number.
func (n *Node) Float() (float64, bool) {
	if n == nil || n.kind != Number {
		return 0, false
	}
	return n.number, true
}

// describe says what a value is, for a message: "text", "a list of 3".
func (n *Node) describe() string {
	switch n.Kind() {
	case Bool:
		return "true or false"
	case Number:
		return "a number"
	case Text:
		return "text"
	case Array:
		return "a list of " + strconv.Itoa(n.Len())
	case Object:
		return "an object"
	}
	return "null"
}

// longestShown is how much of a long text a fault repeats.
const longestShown = 80

// shown is the value that a fault repeats: scalars as given, nothing for lists
// and objects.
func (n *Node) shown() any {
	switch n.Kind() {
	case Bool:
		return n.number != 0
	case Number:
		return n.number
	case Text:
		return shorten(n.text)
	}
	return nil
}

func shorten(s string) string {
	if len(s) <= longestShown {
		return s
	}
	cut := longestShown
	for cut > 0 && s[cut]&0xC0 == 0x80 { // not inside a character
		cut--
	}
	return s[:cut] + "…"
}
