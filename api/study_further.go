package api

import (
	"context"
	"slices"

	"bankyear/api/tabular"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// computed are the columns that a worker computes of the study: those of every year, and
// the further figures that it names.
func (s *Study) computed() []tabular.Column {
	list := slices.Clone(computedColumns())
	for _, f := range s.further() {
		c := tabular.Column{Name: f.name, Unit: fault.UnitOf(f.name), Doc: f.doc}
		if f.text {
			c.Kind = tabular.Text
		}
		list = append(list, c)
	}
	return list
}

// further are the figures of other runs that the study names, in the order of
// furtherFigures.
func (s *Study) further() []*furtherFigure {
	var list []*furtherFigure
	for i := range furtherFigures {
		if f := &furtherFigures[i]; slices.Contains(s.request.Further, f.name) {
			list = append(list, f)
		}
	}
	return list
}

// numbers are the names of every figure of the study that a summary can tell, and the
// further ones among them.
func (s *Study) numbers() (all, further []string) {
	for _, f := range study.Figures() {
		all = append(all, f.Name)
	}
	for _, f := range s.further() {
		if !f.text {
			further = append(further, f.name)
		}
	}
	return append(all, further...), further
}

// usual are the figures that a summary tells when none are asked for.
func (s *Study) usual() []string {
	_, further := s.numbers()
	return slices.Concat(usualFigures, further)
}

// subject runs the year of a case, and what the study's further figures take beside it, on
// the lane's own processor.
func (l *lane) subject(c *Case) *subject {
	by := &crew{ctx: context.Background(), slots: newSlots(0, 0), plans: &l.plans}
	x := &subject{c: c, plan: l.compile(c), more: &more{}}
	if len(l.further) == 0 {
		x.year = x.plan.Run(false)
		return x
	}
	x.run(by, false, nil)
	var details []Detail
	for _, f := range l.further {
		if !slices.Contains(details, f.detail) {
			details = append(details, f.detail)
		}
	}
	deepen(by, []*subject{x}, details...) // ends: the context does not
	return x
}

// fillFurther writes the further figures of a run into a row; one that there is not is left
// out.
func (l *lane) fillFurther(b *tabular.Block, row int, x *subject) {
	first := len(computedColumns())
	for i, f := range l.further {
		switch value := f.value(x).(type) {
		case float64:
			b.Numbers[first+i][row] = value
		case string:
			b.Texts[first+i][row] = value
		}
	}
}
