package advice

import (
	"fmt"
	"strings"

	"bankyear/sim/bank"
)

// makeUp judges what makes a bank unequal: modules in series, aged ones beside
// new ones, another chemistry on the same bus.
func (f *fit) makeUp() {
	const check, subject = "bank_make_up", "modules alike, none in series, one chemistry on the bus"
	u := &f.s.Bank.MakeUp
	verdict, parts := Pass, []string{}
	say := func(v Verdict, format string, args ...any) {
		verdict = worse(verdict, v)
		parts = append(parts, fmt.Sprintf(format, args...))
	}
	if *u == (bank.MakeUp{}) {
		f.add(check, subject, Caution, practice,
			"Not stated: the bank is taken as equal modules of one age in parallel. Modules in series, new ones beside aged ones, and another chemistry on the same bus do not fit.")
		return
	}
	if u.InSeries > 1 {
		v, why := Fail, "each BMS protects its own module only: the first that opens takes the voltage of the whole string across its switch, and nothing levels them. Take modules of the bus voltage"
		if f.m.LeadAcid() {
			v, why = Caution, "one weak block is overcharged and reversed by the others. Watch each block's voltage, and replace them together"
		}
		say(v, "%d in series: %s.", u.InSeries, why)
	}
	if u.Older > 0 {
		say(Caution, "%d of %d modules are older: more resistance and less capacity, so that the new ones carry more than their share and age to meet them; the stated worst share of %s no longer holds.",
			u.Older, f.s.Bank.Modules, fixed(f.m.WorstShare, 2))
	}
	if other := u.BesideChemistry; other != "" && other != f.m.Chemistry {
		say(Fail, "%s on the same bus: %s", chemistryNames[other]+" beside "+chemistryNames[f.m.Chemistry], f.mixed(other))
	}
	if len(parts) == 0 {
		parts = append(parts, "Equal modules in parallel, one chemistry.")
	}
	f.add(check, subject, verdict, practice, strings.Join(parts, " "))
}

var chemistryNames = map[string]string{"lfp": "LFP", "nmc": "NMC", "table": "this chemistry", "lead_acid_vented": "vented lead-acid", "lead_acid_sealed": "sealed lead-acid"}

// mixed says why two chemistries do not share a bus: their resting and charging
// voltages.
func (f *fit) mixed(other string) string {
	cells, cell := float64(f.m.CellsInSeries), bank.CellSettingsOf(f.m.Chemistry)
	theirs := bank.CellSettingsOf(other)
	count := cells / cell.CellsFor12V * theirs.CellsFor12V
	return fmt.Sprintf("%s absorbs at %s and floats at %s, %s at %s and %s, and no setting is right for both. The one that rests higher empties itself into the other day and night, and a short on one is fed by both. Keep one: the other is a candidate of its own.",
		chemistryNames[f.m.Chemistry], volts(cell.AbsorbV*cells), volts(cell.FloatV*cells), chemistryNames[other], volts(theirs.AbsorbV*count), volts(theirs.FloatV*count))
}
