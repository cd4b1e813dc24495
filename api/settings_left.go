package api

import (
	"bankyear/api/document"
	"bankyear/sim"
)

// completeSettings gives the members of the chargers' settings that the tree of a system
// leaves out what follows from the module. Where it gives no settings at all,
// sim.System.Complete does.
func completeSettings(tree *document.Node, s *sim.System) []sim.Filled {
	for _, name := range [...]string{"bank", "settings"} {
		if tree == nil {
			return nil
		}
		tree = tree.Get(name)
	}
	if tree == nil || tree.Kind() != document.Object {
		return nil
	}
	return s.CompleteSettings(func(name string) bool { return tree.Get(name) == nil })
}
