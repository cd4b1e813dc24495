package sim_test

import "math"

// Flexible energy that may shift: looked at on the quarter hours, at the opening
// and the end of a window, at the latest moment at which the window still holds
// what is owed, and when nothing is owed any more.

// refShift is one appliance that may shift.
type refShift struct {
	open, on    bool
	left        float64 // J
	endS        int
	latestTried bool
	look        int
}

// shiftStep switches what may shift.
func (r *reference) shiftStep() (changed bool) {
	f := &r.flow
	spare := 0.0
	if !r.loaded() && f.v > 0 {
		spare = f.sourceW - f.fullChargerW - f.solarOutW
	}
	for k := range r.l.Shifts {
		s, x := &r.st.shifts[k], &r.l.Shifts[k]
		row := r.now / r.w.StepS
		served := !r.st.shed && (r.st.inverterOn && f.v > 0 || f.passW > 0)
		if x.DC {
			served = !r.st.shed && f.v > 0 && r.loadMay()
		}
		if s.on && !served {
			s.on, changed = false, true
		}
		if s.look == r.now { // looked at in this second
			continue
		}
		if s.open && r.now >= s.endS {
			changed = changed || s.on
			s.open, s.on = false, false
			r.lost += s.left
		}
		opens := false
		if !s.open && x.On[row] > 0 && r.now%r.w.StepS == 0 && (row == 0 || x.On[row-1] == 0) {
			opens = true
			*s = refShift{open: true, look: -1}
			end := row
			for end < len(x.On) && x.On[end] > 0 {
				s.left += x.On[end] * x.W * x.MeanFraction * float64(r.w.StepS)
				end++
			}
			s.endS = end * r.w.StepS
		}
		if !s.open {
			continue
		}
		late := float64(s.endS)-s.left/x.W <= float64(r.now)+.5
		if !opens && r.now%900 != 0 && (!late || s.latestTried) && (!s.on || s.left > 0) {
			continue
		}
		s.look, s.latestTried = r.now, s.latestTried || late
		need := x.W
		if !x.DC {
			need = refDCPowerW(&r.s.Inverter, f.acWantW+x.W) - refDCPowerW(&r.s.Inverter, f.acWantW)
		}
		fits := x.DC || r.loaded() || (f.acWantW+x.W)*r.apparent() <= r.in.ratedW
		sunny := !r.loaded() && (s.on && f.i >= 0 || !s.on && spare >= need)
		on := s.left > 0 && served && (late || sunny) && (s.on || fits)
		if on && !s.on && !late {
			spare -= need
		}
		if on != s.on {
			s.on, changed = on, true
		}
	}
	return changed
}

// shifted is what runs of it, W.
func (r *reference) shifted() (ac, dc float64) {
	for k := range r.l.Shifts {
		switch {
		case !r.st.shifts[k].on:
		case r.l.Shifts[k].DC:
			dc += r.l.Shifts[k].W
		default:
			ac += r.l.Shifts[k].W
		}
	}
	return ac, dc
}

// takeShifted takes a second of it.
func (r *reference) takeShifted() {
	for k := range r.l.Shifts {
		if s := &r.st.shifts[k]; s.on {
			s.left = math.Max(0, s.left-r.l.Shifts[k].W)
		}
	}
}
