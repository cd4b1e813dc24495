package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Two seeds that differ in their last digit are told apart, and no input of a million is
// shown with an exponent.
func TestGiven_KeepsDigits(t *testing.T) {
	for value, want := range map[any]string{
		1234567: "1234567", uint64(1234568): "1234568", 1e6: "1000000", 999999.7: "1000000", 123456.7: "123457",
		0.1234567: "0.123457", 0.002: "0.002", 12: "12", "data_linked": "data_linked", true: "true",
	} {
		assert.Equal(t, want, given(value))
	}
}
