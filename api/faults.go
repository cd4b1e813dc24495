package api

import (
	"slices"
	"strconv"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// without leaves out the faults of one pointer.
func without(faults fault.Faults, pointer string) fault.Faults {
	return slices.DeleteFunc(faults, func(f fault.Fault) bool { return f.Pointer == pointer })
}

// below moves faults under a place of a larger document.
func below(faults fault.Faults, tokens ...string) fault.Faults {
	prefix := fault.New().At(tokens...).Pointer()
	out := slices.Clone(faults)
	for i := range out {
		out[i].Pointer = prefix + out[i].Pointer
	}
	return out
}

// beyond appends the faults that are not explained by earlier ones.
func beyond(faults, more fault.Faults) fault.Faults {
	return append(faults, document.Beyond(faults, more)...)
}

// mostOfAKind is how many items of one list are reported with one message; a
// column of nothing but bad values must not hide what is wrong elsewhere.
const mostOfAKind = 20

// condense replaces what goes beyond mostOfAKind by one fault that counts them.
func condense(faults fault.Faults) fault.Faults {
	type kind struct{ list, message string }
	seen := map[kind]int{}
	var out fault.Faults
	var order []kind
	for _, f := range faults {
		list, item := cutLast(f.Pointer)
		if _, err := strconv.Atoi(item); err != nil {
			out = append(out, f)
			continue
		}
		k := kind{list, f.Message}
		if seen[k]++; seen[k] <= mostOfAKind {
			out = append(out, f)
		} else if seen[k] == mostOfAKind+1 {
			order = append(order, k)
		}
	}
	for _, k := range order {
		out = append(out, fault.Fault{Pointer: k.list, Value: seen[k] - mostOfAKind, Unit: "items", Message: "has more items of which the same is true: each " + k.message})
	}
	return out
}

// cutLast parts a pointer into that of the list or object and the last token.
func cutLast(pointer string) (parent, last string) {
	i := strings.LastIndexByte(pointer, '/')
	if i < 0 {
		return "", ""
	}
	return pointer[:i], pointer[i+1:]
}

// firstToken is the top-level member that a pointer leads into.
func firstToken(pointer string) string {
	first, _, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	return first
}

// count writes a number of things.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
