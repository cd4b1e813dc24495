package advice

// gridRows are the rows of when a site that uses the grid only while the bank is low is
// on it. A site that is on it whenever it is there has none.
func (x *sheet) gridRows() {
	g := x.s.Grid
	if g == nil || g.Use != "self_use" {
		return
	}
	const device, given = "grid", "as given or by " + practice
	x.row(device, "connect at reported SoC", tenths(100*g.ConnectSoC), "%", Installer, "the grid takes over when it falls to this, or while the site would be dark; "+given,
		"Lower: an outage of the grid finds an empty bank. Higher: it buys what the sun would have given.")
	x.row(device, "disconnect at reported SoC", tenths(100*g.DisconnectSoC), "%", Installer, "the bank takes over again when it reaches this; "+given,
		"Too near the connect: on and off the grid all day. Higher: it buys what the sun would have given, and without a charge from the grid it waits long for the sun.")
}
