package document

import (
	"strings"

	"bankyear/sim/fault"
)

// Beyond returns the faults of second, from checks of a decoded value, that
// first, from the reading of the document, does not already explain: those whose
// pointer is neither that of a fault of first nor below one. A member of the
// wrong type is read as zero, and a range check of that zero says nothing.
func Beyond(first, second fault.Faults) fault.Faults { return Decoded{}.Beyond(first, second) }

// Beyond is the function Beyond for the value that was decoded: it drops as well
// the faults of members that are zero because an unknown catalogue key left them
// without a value.
func (d Decoded) Beyond(first, second fault.Faults) fault.Faults {
	if len(first) == 0 {
		return second
	}
	known := make(map[string]bool, len(first)+len(d.unread))
	for _, f := range first {
		known[f.Pointer] = true
	}
	for _, pointer := range d.unread {
		known[pointer] = true
	}
	var left fault.Faults
	for _, f := range second {
		if !explained(known, f.Pointer) {
			left = append(left, f)
		}
	}
	return left
}

func explained(known map[string]bool, pointer string) bool {
	for {
		if known[pointer] {
			return true
		}
		i := strings.LastIndexByte(pointer, '/')
		if i < 0 {
			return false
		}
		pointer = pointer[:i]
	}
}
