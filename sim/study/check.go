package study

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"bankyear/sim/fault"
)

// check records what the tags cannot say.
func (s *Spec) check(c fault.Collector) {
	s.checkKind(c)
	paths := map[string]string{}
	sampled := s.Kind == ranking || s.Points == latin || s.Points == sobolPoints
	for i := range s.Axes {
		at := c.At("axes", strconv.Itoa(i))
		s.Axes[i].check(at, sampled)
		checkPath(at.At("path"), s.Axes[i].Path, paths)
	}
	if s.Years != nil {
		s.Years.check(c.At("years"), false)
		checkPath(c.At("years", "path"), s.Years.Path, paths)
	}
	if s.Chance != nil {
		s.Chance.check(c.At("chance"), paths)
	}
	if s.Points == listed {
		s.checkListed(c)
	}
	if s.Sizing != nil {
		s.Sizing.check(c.At("sizing"), s.Axes)
	}
}

// checkKind holds the kind against what goes with it.
func (s *Spec) checkKind(c fault.Collector) {
	if s.Kind != ensemble && len(s.Axes) == 0 {
		c.At("axes").Add(nil, "at least 1", "items", "has no axis to vary")
	}
	if (s.Kind == sizing || s.Kind == ranking) && s.Points != grid {
		c.At("points").Add(s.Points, grid, "", "does not go with a "+s.Kind)
	}
	if (s.Kind == sizing) != (s.Sizing != nil) {
		c.At("sizing").Addf(nil, "goes with the kind sizing, and only with it")
	}
	needs := s.Points == latin || s.Points == sobolPoints
	switch {
	case needs && s.Samples == 0 && s.Kind != ranking:
		c.At("samples").Add(nil, "1 to 100000", "", "is missing: how many points to sample")
	case !needs && s.Samples != 0 && s.Kind != ranking:
		c.At("samples").Add(s.Samples, "", "", "only goes with latin_hypercube, sobol and a ranking")
	}
	if s.Kind == ensemble && s.Years == nil && s.Chance == nil {
		c.Addf(nil, "is an ensemble of one: it has neither years nor chance")
	}
	if most := mostDimensions / 2; s.Kind == ranking && len(s.Axes) > most {
		c.At("axes").Add(len(s.Axes), fmt.Sprintf("at most %d", most), "items", "has too many axes for a ranking")
	}
}

// check holds the ways in which the values are given against each other.
func (a *Axis) check(c fault.Collector, sampled bool) {
	ways := 0
	for _, given := range []bool{a.Numbers != nil, a.Choices != nil, a.Range != nil, a.LogRange != nil} {
		if given {
			ways++
		}
	}
	if ways != 1 {
		c.Add(nil, "exactly one of numbers, choices, range and log_range", "", fmt.Sprintf("has its values in %d ways", ways))
		return
	}
	switch r, l := a.Range, a.LogRange; {
	case r != nil && r.End < r.Start:
		c.At("range", "end").Add(r.End, fmt.Sprintf("at least %g", r.Start), fault.UnitOf(a.Path), "comes before the start")
	case l != nil && l.End <= l.Start:
		c.At("log_range", "end").Add(l.End, fmt.Sprintf("above %g", l.Start), fault.UnitOf(a.Path), "is not above the start")
	case r != nil && r.Step > 0 && !(r.count() <= mostLevels):
		c.At("range", "step").Add(r.Step, fmt.Sprintf("at least %g", (r.End-r.Start)/(mostLevels-1)), fault.UnitOf(a.Path), "makes more than 10000 values")
	case a.continuous() && !sampled && r != nil:
		c.At("range", "step").Add(nil, "above 0", fault.UnitOf(a.Path), "is missing: only sampled axes can do without")
	case a.continuous() && !sampled:
		c.At("log_range", "count").Add(nil, "2 to 10000", "", "is missing: only sampled axes can do without")
	case a.Numbers != nil || a.Choices != nil:
		a.checkTwice(c)
	}
}

// checkTwice reports values that are listed twice.
func (a *Axis) checkTwice(c fault.Collector) {
	name := "numbers"
	if a.Choices != nil {
		name = "choices"
	}
	seen := map[string]bool{}
	for i, v := range a.levels() {
		if seen[v.text] {
			c.At(name, strconv.Itoa(i)).Addf(v.text, "is listed twice")
		}
		seen[v.text] = true
	}
}

// checkPath holds a path against its form and against those already seen, by
// pointer: no two may meet.
func checkPath(c fault.Collector, path string, seen map[string]string) {
	names := strings.Split(path, ".")
	if slices.Contains(names, "") || !utf8.ValidString(path) || len(names) > 64 {
		c.Add(path, "names with dots between, such as bank.modules", "", "is not a path")
		return
	}
	for _, other := range slices.Sorted(maps.Keys(seen)) {
		switch {
		case other == path:
			c.Addf(path, "is also varied by %s", seen[other])
		case strings.HasPrefix(path, other+"."), strings.HasPrefix(other, path+"."):
			c.Addf(path, "meets %s, which %s varies", other, seen[other])
		}
	}
	if _, ok := seen[path]; !ok {
		seen[path] = c.Pointer()
	}
}

func (ch *Chance) check(c fault.Collector, paths map[string]string) {
	if len(ch.SeedPaths)+len(ch.Draws) == 0 {
		c.Addf(nil, "leaves nothing to chance: it has neither seed_paths nor draws")
	}
	for i, path := range ch.SeedPaths {
		checkPath(c.At("seed_paths", strconv.Itoa(i)), path, paths)
	}
	for i := range ch.Draws {
		at := c.At("draws", strconv.Itoa(i))
		ch.Draws[i].check(at, true)
		checkPath(at.At("path"), ch.Draws[i].Path, paths)
	}
}

// listed points take one value of each axis: all must have as many. Axes with
// faults of their own have none to count.
func (s *Spec) checkListed(c fault.Collector) {
	if len(c.Faults()) > 0 {
		return
	}
	for i := 1; i < len(s.Axes); i++ {
		if first, n := len(s.Axes[0].levels()), len(s.Axes[i].levels()); n != first {
			c.At("axes", strconv.Itoa(i)).Add(n, strconv.Itoa(first), "values", "has another number of values than the first axis: listed points take one of each")
		}
	}
}

func (z *Sizing) check(c fault.Collector, axes []Axis) {
	for i, l := range z.Limits {
		at := c.At("limits", strconv.Itoa(i))
		checkFigure(at.At("figure"), l.Figure)
		if (l.AtMost == nil) == (l.AtLeast == nil) {
			at.Add(nil, "exactly one of at_most and at_least", "", "bounds nothing, or both sides")
		}
	}
	numeric := map[string]bool{}
	for i := range axes {
		numeric[axes[i].Path] = axes[i].Choices == nil
	}
	if len(z.Minimise) == 0 && !slices.Contains(slices.Collect(maps.Values(numeric)), true) {
		c.At("minimise").Addf(nil, "is missing, and no axis of numbers takes its place")
	}
	for i, name := range z.Minimise {
		at := c.At("minimise", strconv.Itoa(i))
		isNumber, isAxis := numeric[name]
		switch {
		case slices.Contains(z.Minimise[:i], name):
			at.Addf(name, "is listed twice")
		case name == price && z.Prices == nil:
			at.Addf(name, "needs prices")
		case isAxis && !isNumber:
			at.Addf(name, "is an axis of texts, of which none is the smallest")
		case name != price && !isAxis:
			checkFigure(at, name)
		}
	}
	for _, path := range slices.Sorted(maps.Keys(z.Prices)) {
		if !numeric[path] {
			c.At("prices", path).Addf(z.Prices[path], "is no axis of numbers")
		}
	}
}

func checkFigure(c fault.Collector, name string) {
	if Column(name) < 0 {
		names := make([]string, 0, 64)
		for _, f := range Figures() {
			names = append(names, f.Name)
		}
		c.Add(name, "one of "+strings.Join(names, ", "), "", "is not a figure")
	}
}
