package api

import (
	"strconv"
	"strings"

	"bankyear/api/document"
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
		items := make([]string, n.Len())
		for i := range items {
			items[i] = inputText(n.Item(i))
		}
		out[path] = strings.Join(items, ", ")
	default:
		out[path] = inputText(n)
	}
}

// inputText is one value; what holds others is told as JSON.
func inputText(n *document.Node) string {
	if text, ok := n.Text(); ok {
		if runes := []rune(text); len(runes) > 80 {
			return string(runes[:80]) + "…"
		}
		return text
	}
	if x, ok := n.Float(); ok {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	if n.Kind() == document.Object && len(n.Members()) > 0 {
		var parts []string
		for _, m := range n.Members() {
			parts = append(parts, m.Name+" "+inputText(m.Value))
		}
		return strings.Join(parts, " ")
	}
	text, err := document.Encode(n)
	if err != nil {
		panic("api: " + err.Error()) // a tree has nothing that cannot be written
	}
	return string(text)
}
