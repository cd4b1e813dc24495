package bank

import "math"

// AcidDrive is what is held at the terminals of a lead-acid bank, at a cell
// temperature, and so the law by which its currents follow the level.
type AcidDrive struct {
	volts   *AcidVoltage
	held    quantity
	value   float64 // V, A or W
	sourceA float64
	celsius float64
}

// quantity is what a drive holds.
type quantity uint8

const (
	voltage quantity = iota
	current
	power
)

// Held holds a voltage.
func (a *AcidVoltage) Held(terminalV, celsius float64) AcidDrive {
	return AcidDrive{volts: a, held: voltage, value: terminalV, celsius: celsius}
}

// Carried holds a current (A).
func (a *AcidVoltage) Carried(currentA, celsius float64) AcidDrive {
	return AcidDrive{volts: a, held: current, value: currentA, celsius: celsius}
}

// Powered holds a power of the bus (W) beside sources of constant current (A),
// both positive into the bank. Where the voltage collapses it gives what it can
// (CurrentA).
func (a *AcidVoltage) Powered(powerW, sourceA, celsius float64) AcidDrive {
	return AcidDrive{volts: a, held: power, value: powerW, sourceA: sourceA, celsius: celsius}
}

// acidTop is just below the level at which the law of a charge ends.
const acidTop = acidRiseEnd - 1e-9

// acidFlow is what there is at a level, or its slope along the level.
type acidFlow struct{ volts, terminalA, wellsA float64 }

// at is the law at a level, with the resistance of a charge or of a discharge.
func (d *AcidDrive) at(level float64, charging bool) (f acidFlow) {
	a := d.volts
	level = min(level, acidTop)
	e, r := a.RestV(level), a.OhmAt(level, charging)
	switch d.held {
	case voltage:
		f.volts, f.terminalA = d.value, (d.value-e)/r
	case current:
		f.volts, f.terminalA = e+d.value*r, d.value
	case power:
		f.terminalA, _, _ = CurrentA(e, r, d.value, d.sourceA)
		f.volts = e + f.terminalA*r
	}
	f.wellsA = f.terminalA - a.GassingA(f.volts, d.celsius)
	return f
}

// off is how far the law's current into the wells is from the line of a course at a
// level, A.
func (d *AcidDrive) off(c *AcidCourse, level float64, charging bool) float64 {
	return d.at(level, charging).wellsA - c.CurrentAt(level)
}

// slopes are those of the law at a level with a flow. With Ω the resistance, Ω′
// its slope and g that of the voltage at rest,
//
//	voltage held  V′ = 0                 I′ = −(g + I·Ω′)/Ω
//	current       V′ = g + I·Ω′          I′ = 0
//	power         V′ = g + I·Ω′ + I′·Ω   I′ = −(g + I·Ω′)(I − I_s)/(V + Ω(I − I_s))
//
// and the gassing current grows by 11/V with each cell's.
func (d *AcidDrive) slopes(level float64, f acidFlow, charging bool) (along acidFlow) {
	a := d.volts
	level = min(level, acidTop)
	r, g := a.OhmAt(level, charging), a.FullV-a.EmptyV
	if charging {
		left := acidRiseEnd - level
		g += f.terminalA * a.ResistanceOhm * acidRise * acidRiseEnd / (left * left)
	}
	switch own := f.terminalA - d.sourceA; d.held {
	case voltage:
		along.terminalA = -g / r
	case current:
		along.volts = g
	case power:
		along.terminalA = -g * own / (f.volts + r*own)
		along.volts = g + along.terminalA*r
	}
	along.wellsA = along.terminalA - (f.terminalA-f.wellsA)*gassingPerV/a.Cells*along.volts
	return along
}

// charges tells whether a course begins with a charge. A bank that rests at the
// voltage at which it is held will be charged where its level falls.
func (d *AcidDrive) charges(b TwoWell, w Wells) bool {
	const restsV = 1e-9
	e := d.volts.RestV(w.Level)
	switch d.held {
	case current:
		return d.value > 0
	case power:
		return d.value+e*d.sourceA > 0
	}
	if over := d.value - e; math.Abs(over) > restsV {
		return over > 0
	}
	return b.AcceptedA(w) > 0
}
