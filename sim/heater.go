package sim

// heat books what the heater took beside what sun and AC charger gave the bus's
// consumers, J: the sun's first, then that of the source of AC in charge, the rest
// from the bank.
func (l *ledger) heat(took, solar, ac float64, source *acLedger) {
	bySun := min(took, solar)
	byAC := min(took-bySun, ac)
	l.heater += took
	l.heaterSolar += bySun
	source.heater += byAC
	l.heaterBank += took - bySun - byAC
}
