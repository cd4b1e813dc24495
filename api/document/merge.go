package document

import "slices"

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
	if n := replaced(base, patch); n != nil {
		return n
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

// replaced is base with members changed that it has; nil where the patch adds or
// removes one. Names stay at their places, and so does the index.
func replaced(base, patch *Node) *Node {
	if base == nil {
		return nil
	}
	members := slices.Clone(base.members)
	for _, m := range patch.members {
		i := base.find(m.Name)
		if i < 0 || m.Value.kind == Null {
			return nil
		}
		members[i].Value = Merge(members[i].Value, m.Value)
	}
	out := *base
	out.members = members
	return &out
}
