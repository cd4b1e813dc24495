package sim

import "slices"

// TripKinds names what trips a disconnect, the keys of Figures.TripsByKind.
func TripKinds() []string { return slices.Clone(tripNames[:]) }

// Decisions names decisions by the reported state of charge, the keys of
// Figures.OtherwiseByKind.
func Decisions() []string { return slices.Clone(decisionNames[:]) }

// CellWindows names where cells spend their time, the keys of
// Figures.CellHByWindow, from cold to hot.
func CellWindows() []string { return slices.Clone(windowNames[:]) }
