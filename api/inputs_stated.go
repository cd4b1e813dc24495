package api

import (
	"slices"
	"strconv"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// longestList is how many items of a list are told one by one.
const longestList = 24

// statedInputs lists what a request states, by dotted path, as text for people.
// What only names the request is left out.
func statedInputs(tree *document.Node) map[string]string {
	out := map[string]string{}
	for _, m := range tree.Members() {
		if m.Name != "name" && m.Name != "notes" {
			stateInput(out, m.Name, m.Value)
		}
	}
	return out
}

func stateInput(out map[string]string, path string, n *document.Node) {
	switch n.Kind() {
	case document.Object:
		for _, m := range n.Members() {
			stateInput(out, path+"."+m.Name, m.Value)
		}
	case document.Array:
		if n.Len() > longestList {
			out[path] = strconv.Itoa(n.Len()) + " values"
			return
		}
		out[path] = inputText(n)
	default:
		out[path] = inputText(n)
	}
}

// inputText is one value, a list, or an object in one: name, value and unit of each
// member, as on the page.
func inputText(n *document.Node) string {
	if text, ok := n.Text(); ok {
		if runes := []rune(text); len(runes) > 80 {
			return string(runes[:80]) + "…"
		}
		return text
	}
	if x, ok := n.Float(); ok {
		return exact(x)
	}
	switch {
	case n.Kind() == document.Array && n.Len() == 0, n.Kind() == document.Object && len(n.Members()) == 0:
		return "none"
	case n.Kind() == document.Array:
		between, items := ", ", make([]string, n.Len())
		for i := range items {
			item := n.Item(i)
			if items[i] = inputText(item); item.Kind() == document.Object || item.Kind() == document.Array {
				between = "; "
			}
		}
		return strings.Join(items, between)
	case n.Kind() == document.Object:
		var parts []string
		for _, m := range n.Members() {
			what, unit := fault.Measured(m.Name)
			what = strings.ReplaceAll(strings.TrimSuffix(what, "_fraction"), "_", " ")
			words := slices.DeleteFunc([]string{what, inputText(m.Value), unit}, func(s string) bool { return s == "" })
			parts = append(parts, strings.Join(words, "\u00a0"))
		}
		return strings.Join(parts, ", ")
	}
	text, err := document.Encode(n)
	if err != nil {
		panic("api: " + err.Error()) // a tree has nothing that cannot be written
	}
	return string(text)
}
