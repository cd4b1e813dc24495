package document

// Merge applies a JSON Merge Patch (RFC 7396) to base: members of patch replace
// those of base, object by object; a null member removes. A list is replaced as a
// whole. Members keep the order of base, new ones follow in the order of patch.
//
// Neither input is changed; the result shares what stayed the same. A nil base
// is an absent value; a nil patch changes nothing.
func Merge(base, patch *Node) *Node {
	if patch == nil {
		return base
	}
	if patch.kind != Object {
		return patch
	}
	if base.Kind() != Object {
		base = nil
	} else if len(patch.members) == 0 {
		return base
	}
	members := make([]Member, 0, len(base.Members())+len(patch.members))
	for _, m := range base.Members() {
		change := patch.Get(m.Name)
		switch {
		case change == nil:
			members = append(members, m)
		case change.kind != Null:
			members = append(members, Member{m.Name, Merge(m.Value, change)})
		}
	}
	for _, m := range patch.members {
		if m.Value.kind != Null && base.Get(m.Name) == nil {
			members = append(members, Member{m.Name, Merge(nil, m.Value)})
		}
	}
	return newObject(members)
}
