package sim_test

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"bankyear/sim"
)

// failer is what a check fails by.
type failer interface {
	Fatalf(format string, args ...any)
}

// closes checks one line of the books against what went through in all.
func closes(t failer, name string, through, left float64, right ...float64) {
	sum := 0.
	for _, x := range right {
		sum += x
	}
	if math.Abs(left-sum) > 1e-9*through {
		t.Fatalf("%s: %.12g is not %.12g, with %.6g kWh through", name, left, sum, through)
	}
}

// Every account of the year and of each month closes to 1e-9 of what went
// through, and nothing in it is negative. (That the books close by difference
// proves nothing: the bank's are compared with integrals elsewhere.)
func closeBooks(t failer, b *sim.Books) {
	through := b.SolarAvailableKWh + b.LoadKWh + b.GeneratorKWh + b.GridKWh + b.BankChargeKWh + b.BankDischargeKWh + b.OwnDrawKWh + b.HeaterKWh
	closes(t, "solar", through, b.SolarAvailableKWh, b.SolarToLoadKWh, b.SolarToBankKWh, b.SolarLossKWh, b.CurtailedKWh)
	closes(t, "load", through, b.LoadKWh, b.LoadFromSolarKWh, b.LoadFromBankKWh, b.LoadFromGeneratorKWh, b.LoadFromGridKWh, b.UnservedKWh)
	closes(t, "grid", through, b.GridKWh, b.GridToACKWh, b.GridToLoadKWh, b.GridToBankKWh, b.GridLossKWh)
	closes(t, "generator", through, b.GeneratorKWh, b.GeneratorToACKWh, b.GeneratorToLoadKWh, b.GeneratorToBankKWh, b.GeneratorLossKWh, b.GeneratorDumpedKWh)
	closes(t, "bank", through, b.BankChargeKWh, b.BankStoredKWh, b.BankDischargeKWh, b.BankResistiveKWh, b.BankCoulombicKWh, b.BankHysteresisKWh, b.BankDrawKWh)
	closes(t, "inverter", through, b.InverterInKWh, b.InverterOutKWh, b.InverterLossKWh)
	closes(t, "bus", through, b.SolarToLoadKWh+b.SolarToBankKWh+b.GeneratorToLoadKWh+b.GeneratorToBankKWh+b.GridToLoadKWh+b.GridToBankKWh+b.BankDischargeKWh,
		b.InverterInKWh, b.DCLoadKWh, b.OwnDrawKWh, b.HeaterKWh, b.BankChargeKWh)
	closes(t, "served", through, b.LoadKWh-b.UnservedKWh, b.InverterOutKWh, b.GeneratorToACKWh, b.GridToACKWh, b.DCLoadKWh)
	closes(t, "heater", through, b.HeaterKWh, b.HeaterSolarKWh, b.HeaterGeneratorKWh, b.HeaterGridKWh, b.HeaterBankKWh)
	if b.FanKWh > b.OwnDrawKWh*(1+1e-9) || b.HeaterSolarKWh > (b.SolarToLoadKWh)*(1+1e-9) || b.HeaterGeneratorKWh > b.GeneratorToLoadKWh*(1+1e-9) || b.HeaterGridKWh > b.GridToLoadKWh*(1+1e-9) {
		t.Fatalf("fan and heater have more than there is: %+v", *b)
	}
	v := reflect.ValueOf(*b)
	for i := range v.NumField() {
		name, least := v.Type().Field(i).Name, -1e-9*through
		switch name {
		case "BankStoredKWh":
			continue
		case "BankResistiveKWh": // what is left of a constant power, of which .3 % may be missed where the voltage falls by a fifth
			least -= 1e-3 + 3e-3*(b.BankChargeKWh+b.BankDischargeKWh)
		}
		if x := v.Field(i).Float(); x < least {
			t.Fatalf("%s is %g", name, x)
		}
	}
}

func total(parts map[string]float64) (sum float64) {
	for _, x := range parts {
		sum += x
	}
	return sum
}

func near(t *rapid.T, name string, a, b, within float64) {
	if math.IsNaN(a) || math.IsNaN(b) || math.Abs(a-b) > within {
		t.Fatalf("%s: %.12g and %.12g", name, a, b)
	}
}

func TestBooksClose(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		y := randomYear(r, t)
		f, b := &y.Figures, &y.Books
		closeBooks(r, b)
		near(r, "causes of downtime", f.DowntimeH, total(f.DowntimeByCauseH), 1e-8)
		near(r, "causes of curtailment", f.CurtailedKWh, total(f.CurtailedByCause), 1e-9*b.SolarAvailableKWh)
		near(r, "curtailed", f.CurtailedKWh, b.CurtailedKWh, 1e-9*b.SolarAvailableKWh)
		near(r, "unserved", f.UnservedKWh, b.UnservedKWh, 1e-9*b.LoadKWh)
		if f.ShedKWh > f.UnservedKWh*(1+1e-9) {
			r.Fatalf("shed %g of %g unserved", f.ShedKWh, f.UnservedKWh)
		}
		monthly(r, y)
		hourly(r, y)
		outages := 0.
		for _, o := range y.Outages {
			outages += o.Hours
		}
		near(r, "outages", f.DowntimeH, outages, 1e-6)
		if f.Outages+f.ShortOutages != len(y.Outages) {
			r.Fatalf("%d and %d outages, %d listed", f.Outages, f.ShortOutages, len(y.Outages))
		}
		kinds := 0
		for _, n := range f.TripsByKind {
			kinds += n
		}
		if kinds != f.Trips {
			r.Fatalf("%d trips, %d by kind", f.Trips, kinds)
		}
	})
}

// monthly checks each month by itself, and that the months are the year.
func monthly(t *rapid.T, y *sim.Year) {
	sum := map[string]float64{}
	books := reflect.New(reflect.TypeFor[sim.Books]()).Elem()
	lowest := 1.
	for _, m := range y.Months() {
		closeBooks(t, &m.Books)
		near(t, "causes of a month's downtime", m.DowntimeH, total(m.DowntimeByCauseH), 1e-8)
		near(t, "causes of a month's curtailment", m.Books.CurtailedKWh, total(m.CurtailedByCause), 1e-9*y.Books.SolarAvailableKWh)
		sum["downtime"] += m.DowntimeH
		sum["generator"] += m.GeneratorH
		sum["fuel"] += m.FuelL
		lowest = min(lowest, m.LowestSoC)
		for k := range books.NumField() {
			books.Field(k).SetFloat(books.Field(k).Float() + reflect.ValueOf(m.Books).Field(k).Float())
		}
	}
	near(t, "months of downtime", y.Figures.DowntimeH, sum["downtime"], 1e-8)
	near(t, "months of generator", y.Figures.GeneratorH, sum["generator"], 1e-8)
	near(t, "months of fuel", y.Figures.FuelL, sum["fuel"], 1e-6)
	near(t, "lowest month", y.Figures.LowestSoC, lowest, 1e-12)
	for k := range books.NumField() {
		near(t, "months of "+books.Type().Field(k).Name, reflect.ValueOf(y.Books).Field(k).Float(), books.Field(k).Float(), 1e-6)
	}
}

// hourly checks the bounds of the hours, and that they are the year.
func hourly(t *rapid.T, y *sim.Year) {
	column := map[string][]float32{}
	for i, c := range sim.NumberColumns() {
		column[c.Name] = y.Hours.Values[i]
		for row, x := range y.Hours.Values[i] {
			none := c.Name == "reported_soc_fraction" && math.IsNaN(float64(y.Hours.Values[i][0])) // nothing reports one, in no row
			if math.IsNaN(float64(x)) != none || math.IsInf(float64(x), 0) && c.Name != "charge_ceiling_a" {
				t.Fatalf("%s is %g in row %d", c.Name, x, row)
			}
		}
	}
	for _, name := range []string{"soc_fraction", "reported_soc_fraction", "downtime_fraction"} {
		for row, x := range column[name] {
			if x < 0 || x > 1+1e-6 {
				t.Fatalf("%s is %g in row %d", name, x, row)
			}
		}
	}
	for name, kwh := range map[string]float64{
		"solar_available_w": y.Books.SolarAvailableKWh, "curtailed_w": y.Books.CurtailedKWh, "load_w": y.Books.LoadKWh,
		"served_w": y.Books.LoadKWh - y.Books.UnservedKWh, "bank_w": y.Books.BankChargeKWh - y.Books.BankDischargeKWh,
		"generator_w": y.Books.GeneratorKWh, "grid_w": y.Books.GridKWh, "inverter_loss_w": y.Books.InverterLossKWh, "heater_w": y.Books.HeaterKWh,
		"downtime_fraction": y.Figures.DowntimeH / 1000, "fuel_l": y.Figures.FuelL / 1000,
	} {
		sum := 0.
		for _, x := range column[name] {
			sum += float64(x) / 1000
		}
		near(t, name, kwh, sum, 1e-6*(y.Books.SolarAvailableKWh+y.Books.LoadKWh+y.Books.GeneratorKWh))
	}
}
