package profiles

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NEMA MG 1 locked-rotor kVA of motors by code letter (secondary copy): 1 hp L
// 9.0 to 9.99, 5 hp J 35.5 to 39.95. The upper end is taken.
func TestInrush_CodeLetters(t *testing.T) {
	for _, row := range []struct {
		hp     float64
		letter string
		lo, hi float64
	}{
		{1, "L", 9.0, 9.99}, {5, "J", 35.5, 39.95},
		{1, "G", 5.6, 6.3}, {1, "H", 6.3, 7.1}, {1, "K", 8.0, 9.0},
	} {
		// A motor draws about 746 W/hp over an efficiency of .8, at a power
		// factor of .8 (common practice, no source).
		w := 746 * row.hp / .8
		load := build(t, alone(func(a *Appliance) {
			a.W, a.PowerFactor, a.CodeLetter, a.MotorHP, a.InrushS = w, .8, row.letter, row.hp, 1
		}), 2025, 3600)
		require.Len(t, load.Starts, 1)
		s := load.Starts[0]
		assert.InEpsilon(t, row.hi*1000, s.InrushVA(), .002, "%g hp %s", row.hp, row.letter)
		assert.Greater(t, s.InrushVA(), row.lo*1000)
		// Inrush is 5 to 8 times the rated current (common practice, no source);
		// small motors have the higher letters.
		assert.True(t, 4 <= s.InrushMultiple && s.InrushMultiple <= 9, "%g times", s.InrushMultiple)
	}
}

func TestInrush_Multiple(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.W, a.PowerFactor, a.InrushMultiple, a.InrushS = 750, .75, 6, .8 }), 2025, 3600)
	assert.InDelta(t, 1000, load.Starts[0].RunningVA(), 1e-9)
	assert.InDelta(t, 6000, load.Starts[0].InrushVA(), 1e-9)
}

func TestInrush_Problems(t *testing.T) {
	for _, row := range []struct {
		change func(*Appliance)
		want   []string
	}{
		{func(a *Appliance) { a.CodeLetter, a.MotorHP = "J", .1 }, []string{"/inrush_s"}},
		{func(a *Appliance) { a.CodeLetter, a.InrushS = "J", 1 }, []string{"/motor_hp"}},
		{func(a *Appliance) { a.MotorHP = 1 }, []string{"/motor_hp"}},
		{func(a *Appliance) { a.CodeLetter, a.MotorHP, a.InrushS, a.InrushMultiple = "J", 1, 1, 6 }, []string{"/code_letter"}},
		{func(a *Appliance) { a.CodeLetter, a.MotorHP, a.InrushS = "I", 1, 1 }, []string{"/code_letter"}},
		{func(a *Appliance) { a.CodeLetter, a.MotorHP, a.InrushS = "J", 5, 1 }, []string{"/motor_hp"}}, // 5 hp do not run on 100 W
	} {
		_, problems := alone(row.change).Build(2025, 3600, nil)
		var got []string
		for _, p := range problems {
			got = append(got, p.Pointer)
		}
		for i := range row.want {
			row.want[i] = "/appliances/it" + row.want[i]
		}
		assert.Equal(t, row.want, got)
	}
}
