package document

import (
	"bytes"
	"fmt"
	"math"

	"bankyear/sim/fault"
)

// deepest is the deepest nesting of objects and lists that Parse reads.
const deepest = 64

// Parse reads one JSON value (RFC 8259) as a tree.
//
// Every fault is reported, with its JSON Pointer, as long as the text can be
// followed: duplicate members (the first is kept), strings that are not Unicode,
// NaN and infinities, numbers written in another way than JSON's or too large
// for a float64. The tree is returned as well, so that Decode can report what
// else is wrong; the numbers at fault are NaN or infinite in it and Decode
// passes over them. The tree is nil when the text cannot be followed to its end:
// a syntax error, more than one value, nesting beyond 64, or nothing at all.
//
// raw is not changed and not kept. A leading byte order mark is passed over.
func Parse(raw []byte) (*Node, fault.Faults) {
	p := parser{raw: bytes.TrimPrefix(raw, []byte("\xEF\xBB\xBF"))}
	n := p.value(0)
	if n != nil {
		if c := p.next(); c != end {
			p.syntax("goes on after its end", "one JSON value")
			n = nil
		}
	}
	return n, p.faults
}

// end is what parser.next returns at the end of the text. A NUL byte in the
// text itself is a syntax error in every place, and is told apart by position.
const end = 0

type parser struct {
	findings
	raw []byte
	pos int
}

// next passes over white space and returns the byte that follows.
func (p *parser) next() byte {
	for p.pos < len(p.raw) {
		switch c := p.raw[p.pos]; c {
		case ' ', '\n', '\r', '\t':
			p.pos++
		case end:
			return 0xFF // no JSON text holds this byte either
		default:
			return c
		}
	}
	return end
}

// syntax records a fault that ends the reading, with its line and column.
func (p *parser) syntax(message, allowed string) *Node {
	before := p.raw[:p.pos]
	line := bytes.Count(before, []byte("\n")) + 1
	column := len([]rune(string(before[bytes.LastIndexByte(before, '\n')+1:]))) + 1
	p.report(nil, allowed, "", fmt.Sprintf("%s (line %d, column %d)", message, line, column))
	return nil
}

// value reads any value; nil when the text cannot be followed.
func (p *parser) value(depth int) *Node {
	switch c := p.next(); {
	case c == '{' || c == '[':
		if depth == deepest {
			return p.syntax("is nested too deep", fmt.Sprintf("at most %d levels", deepest))
		}
		if c == '{' {
			return p.object(depth)
		}
		return p.array(depth)
	case c == '"':
		s, ok := p.text()
		if !ok {
			return nil
		}
		return TextOf(s)
	case startsNumber(c):
		return &Node{kind: Number, number: p.number()}
	case c == end && len(p.raw) == 0:
		return p.syntax("is empty", "a JSON value")
	case c == end:
		return p.syntax("ends too early", "a JSON value")
	}
	return p.word()
}

// word reads true, false, null, and the words that other writers use for
// numbers that JSON cannot carry.
func (p *parser) word() *Node {
	n := 0
	for p.pos+n < len(p.raw) && isLetter(p.raw[p.pos+n]) {
		n++
	}
	word := string(p.raw[p.pos : p.pos+n])
	switch word {
	case "true", "false":
		p.pos += n
		return BoolOf(word == "true")
	case "null":
		p.pos += n
		return &Node{}
	case "NaN", "nan", "Infinity", "inf", "Inf":
		p.pos += n
		p.report(word, "a finite number", "", "is not a number that JSON can carry")
		return &Node{kind: Number, number: math.NaN()}
	}
	return p.syntax("is not JSON here", "a value: an object, a list, text in double quotes, a number, true, false or null")
}

func (p *parser) object(depth int) *Node {
	p.pos++
	var members []Member
	var names map[string]bool // when there are many
	if p.next() == '}' {
		p.pos++
		return newObject(nil)
	}
	for {
		if p.next() != '"' {
			return p.syntax("is not JSON here", "a member's name in double quotes")
		}
		before := len(p.faults)
		name, ok := p.text()
		if !ok {
			return nil
		}
		p.at.enter(name)
		if len(p.faults) > before { // the name's own fault belongs to its member
			p.faults[before].Pointer = p.at.pointer()
		}
		if p.next() != ':' {
			return p.syntax("is not JSON here", "a colon after the member's name")
		}
		p.pos++
		if names == nil && len(members) == manyMembers {
			names = make(map[string]bool)
			for _, m := range members {
				names[m.Name] = true
			}
		}
		twice := has(members, names, name)
		v := p.value(depth + 1)
		if v == nil {
			return nil
		}
		if twice {
			p.report(v.shown(), "each member once", "", "is given more than once")
		} else {
			members = append(members, Member{name, v})
			if names != nil {
				names[name] = true
			}
		}
		p.at.leave()
		switch p.next() {
		case ',':
			p.pos++
		case '}':
			p.pos++
			return newObject(members)
		default:
			return p.syntax("is not JSON here", "a comma or } after a member")
		}
	}
}

func has(members []Member, names map[string]bool, name string) bool {
	if names != nil {
		return names[name]
	}
	for i := range members {
		if members[i].Name == name {
			return true
		}
	}
	return false
}

func (p *parser) array(depth int) *Node {
	p.pos++
	n := &Node{kind: Array}
	if p.next() == ']' {
		p.pos++
		return n
	}
	for i := 0; ; i++ {
		if !p.item(n, i, depth) {
			return nil
		}
		switch p.next() {
		case ',':
			p.pos++
		case ']':
			p.pos++
			return n
		default:
			return p.syntax("is not JSON here", "a comma or ] after an item")
		}
	}
}

// item reads item i of n: as a bare number while all items are numbers.
func (p *parser) item(n *Node, i, depth int) bool {
	if n.items == nil && startsNumber(p.next()) {
		p.at.enterItem(i)
		n.numbers = append(n.numbers, p.number())
		p.at.leave()
		return true
	}
	p.at.enterItem(i)
	v := p.value(depth + 1)
	if v == nil {
		return false
	}
	p.at.leave()
	if n.items == nil && v.kind == Number { // a NaN word
		n.numbers = append(n.numbers, v.number)
		return true
	}
	if n.items == nil {
		n.items = make([]*Node, len(n.numbers), len(n.numbers)+1)
		for j, x := range n.numbers {
			n.items[j] = &Node{kind: Number, number: x}
		}
		n.numbers = nil
	}
	n.items = append(n.items, v)
	return true
}
