package advice

import "bankyear/sim"

// Owner says whose a value is.
type Owner string

// Owners.
const (
	Pushed       Owner = "pushed"                         // by the BMS, and locked while linked
	Installer    Owner = "installer"                      // the installer's
	WhileSilent  Owner = "installer_ignored_while_linked" // the installer's, ignored while linked
	WhileLinked  Owner = "installer_used_while_linked"    // the installer's, used only while linked
	OwnedByMaker Owner = "maker"                          // fixed in the device
)

// Words say whose it is on paper.
func (o Owner) Words() string {
	switch o {
	case Pushed:
		return "pushed, locked while linked"
	case WhileSilent:
		return "installer's, ignored while linked"
	case WhileLinked:
		return "installer's, used while linked only"
	case OwnedByMaker:
		return "fixed by the maker"
	}
	return "installer's"
}

// Row is one value to program.
type Row struct {
	Device  string `json:"device" doc:"What it is programmed into."`
	Setting string `json:"setting" doc:"What it is called in the trade."`
	Value   any    `json:"value" doc:"The value: a number, or text."`
	Unit    string `json:"unit,omitzero" required:"false" doc:"Unit of a number."`
	Owner   Owner  `json:"owner" enum:"pushed,installer,installer_ignored_while_linked,installer_used_while_linked,maker" doc:"Whose value it is."`
	Rule    string `json:"rule" doc:"Where it comes from."`
	IfWrong string `json:"if_wrong" doc:"What happens when it is wrong."`
}

// Sheet is the settings sheet of a system: what to program, whose it is, where
// it came from, and what happens if it is wrong.
type Sheet struct {
	Operation  string           `json:"operation" enum:"data_linked,voltage_only" doc:"How the bank works."`
	Rows       []Row            `json:"rows" doc:"Values by device."`
	Linked     *Asked           `json:"data_linked,omitzero" required:"false" doc:"What the BMS asks for while linked; left out for a module that cannot be."`
	AfterLoss  *AfterLoss       `json:"after_link_loss,omitzero" required:"false" doc:"What follows a lost link; left out when voltage-only."`
	Generators []GeneratorRules `json:"generators" doc:"What starts and stops each generator, as sentences."`
}

// GeneratorRules are the rules of one generator as sentences.
type GeneratorRules struct {
	Name  string   `json:"name" doc:"Name of the generator."`
	Rules []string `json:"rules" doc:"One sentence each."`
}

// SheetOf is the settings sheet of a system that Complete has filled and that
// passed Check. It shows the values as the system has them; where the rule
// gives another, the row says so.
func SheetOf(s *sim.System) Sheet {
	x := sheet{fit: newFit(s, Extremes{})}
	x.charging()
	x.currents()
	x.lowEnd()
	x.counterRows()
	x.shedding()
	x.generatorRows()
	x.gridRows()
	out := Sheet{Operation: s.Bank.Operation, Rows: x.rows, Generators: []GeneratorRules{}}
	if x.canLink() {
		out.Linked = x.asked()
	}
	if x.linked() {
		out.AfterLoss = x.afterLoss()
	}
	for _, name := range sortedKeys(s.Generators) {
		g := x.set(name)
		out.Generators = append(out.Generators, GeneratorRules{Name: name, Rules: g.Rules()})
	}
	return out
}

// sheet is a sheet while it is written.
type sheet struct {
	*fit
	rows []Row
}

func (x *sheet) row(device, setting string, value any, unit string, owner Owner, rule, ifWrong string) {
	x.rows = append(x.rows, Row{device, setting, value, unit, owner, rule, ifWrong})
}

// silent is the owner of what chargers use without a link.
func (x *sheet) silent() Owner {
	if x.linked() {
		return WhileSilent
	}
	return Installer
}

// given says whether a value is the rule's; if not, the row says what the rule
// gives.
func given(rule, is, ruleGives string) string {
	if is == ruleGives {
		return rule
	}
	return "as given; the rule gives " + ruleGives + ": " + rule
}
