package api

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// An unknown parameter is told as such, also where there are none to choose from.
func TestParameters_Unknown(t *testing.T) {
	s, _ := sheet(t)
	p := problemOf(t, call(t, s, "DELETE", "/v1/systems/hut?kind=x", nil), 400)
	assert.Equal(t, "1 fault, each with its parameter, value and what is allowed.", p.Detail)
	assert.Equal(t, []Fault{{Parameter: "kind", Allowed: "none", Message: "is not a known parameter"}}, p.Faults)
	p = problemOf(t, call(t, s, "GET", "/v1/catalogue?kinds=module", nil), 400)
	assert.Equal(t, []Fault{{Parameter: "kinds", Allowed: "one of kind", Message: "is not a known parameter; did you mean kind?"}}, p.Faults)
}
