package weather

import "math"

// cells reads the fields of a file's rows.
type cells struct {
	p *Problems
	// field tells in which field (from 1) a row holds a column, 0: not at all.
	field [columns]int
	// unit turns a number of the file into the unit of the Year.
	unit [columns]conversion
	// unplaced counts rows whose time could not be read, offsets small negative
	// values that were taken as 0.
	unplaced, offsets int
}

// conversion is x·factor + offset; a factor of 0 leaves x as it is.
type conversion struct{ factor, offset float64 }

func (k conversion) of(x float64) float64 {
	if k.factor == 0 {
		return x
	}
	return float64(x*k.factor) + k.offset // no fused multiply-add: same bits everywhere
}

// bad stands for a value that a problem was reported for, so that it is not
// reported as a gap again.
var bad = math.Inf(1)

// darkOffsetWM2 is how far below 0 a pyranometer may read in the dark, by its
// own cooling: the physically possible limit of Long & Shi 2008, The Open
// Atmospheric Science Journal 2, 23. Such values are taken as 0.
const darkOffsetWM2 = -4

// value reads one field of a row into it: NaN for a gap, a problem for what is
// no number or not possible. missing is the file format's mark for a gap.
func (k *cells) value(row *[columns]float64, c column, line int, fields [][]byte, missing func(float64) bool) {
	row[c] = math.NaN()
	at := k.field[c]
	if at == 0 {
		return
	}
	if at > len(fields) {
		k.p.add(Problem{Line: line, Column: at, Member: c.String(), Index: -1, Message: "the row ends before this column", Cause: ErrMissing})
		row[c] = bad
		return
	}
	text := fields[at-1]
	if len(text) == 0 {
		return
	}
	x, ok := number(text)
	info := &columnInfos[c]
	switch {
	case !ok:
		k.p.add(Problem{Line: line, Column: at, Member: c.String(), Index: -1, Value: string(text), Allowed: info.allowed(), Unit: info.unit,
			Message: "is not a finite number (leave a gap empty)", Cause: ErrNumber})
		row[c] = bad
	case missing != nil && missing(x):
	default:
		row[c] = k.inRange(c, line, k.unit[c].of(x))
	}
}

// inRange holds a value in the unit of the Year against its physical range.
func (k *cells) inRange(c column, line int, x float64) float64 {
	info := &columnInfos[c]
	if x < 0 && x >= darkOffsetWM2 && c.isIrradiance() {
		k.offsets++
		return 0
	}
	if x >= info.min && x <= info.max {
		return x + 0 // −0 becomes 0
	}
	k.p.add(Problem{Line: line, Column: k.field[c], Member: c.String(), Index: -1, Value: shown(x), Allowed: info.allowed(), Unit: info.unit,
		Message: "is outside the physical range", Cause: ErrRange})
	return bad
}

// openQuote reports a field whose quotes do not close; its row is not read.
func (k *cells) openQuote(line, field int) {
	k.p.addf(ErrFormat, line, field, "the quotes of the field do not close")
	k.unplaced++
}
