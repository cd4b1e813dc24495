package advice

import (
	"fmt"
	"strings"

	"bankyear/sim"
)

// WakeWords say how a sleeping bank would be woken, one sentence a chain, with the
// first link that does not hold; none for a bank that never sleeps.
func WakeWords(chains []sim.WakeChain) []string {
	var out []string
	for _, c := range chains {
		words := "By " + waker(&c) + ": possible, every link of the chain holds."
		for _, l := range c.Links {
			if !l.Holds {
				words = fmt.Sprintf("By %s: not possible, the first link that does not hold is that %s (%s).", waker(&c), l.Link, l.Why)
				break
			}
		}
		out = append(out, words)
	}
	return out
}

// waker names what a chain begins with.
func waker(c *sim.WakeChain) string {
	switch c.By {
	case "solar":
		return "the sun"
	case "visit":
		return "a visit"
	case "grid":
		return "the grid"
	}
	return "generator " + c.Of
}

// WakeText is the chains of waking as plain text; "" for a bank that never sleeps.
func WakeText(chains []sim.WakeChain) string {
	if len(chains) == 0 {
		return ""
	}
	var out strings.Builder
	fmt.Fprintf(&out, "How a bank that sleeps after over-discharge would be woken\n\n")
	for _, words := range WakeWords(chains) {
		paragraph(&out, "", words)
	}
	out.WriteString("\n")
	lines := [][]string{{"by", "link", "holds", "what decides it"}}
	for _, c := range chains {
		for _, l := range c.Links {
			holds := "yes"
			if !l.Holds {
				holds = "no"
			}
			lines = append(lines, []string{waker(&c), l.Link, holds, l.Why})
		}
	}
	columns(&out, lines)
	return out.String()
}
