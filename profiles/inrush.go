package profiles

import "strings"

// codeLetters and lockedRotorKVA are the code letters of NEMA MG 1 and the
// upper end of their range of locked-rotor kVA for each horsepower; the lower
// end is that of the letter before, 0 for A. G to L from a secondary copy, the
// others from memory. V, 22.4 and above, has no upper end and is left out.
const codeLetters = "ABCDEFGHJKLMNPRSTU"

var lockedRotorKVA = [len(codeLetters)]float64{
	3.15, 3.55, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0, 10.0, 11.2, 12.5, 14.0, 16.0, 18.0, 20.0, 22.4,
}

// inrushMultiple is the starting over the running current of one, 0 when it
// has no inrush. A motor with a code letter starts with
//
//	S = kVA/hp · hp,  over the running w/power_factor.
func (a *Appliance) inrushMultiple() float64 {
	if a.CodeLetter == "" {
		return a.InrushMultiple
	}
	kva := lockedRotorKVA[strings.Index(codeLetters, a.CodeLetter)] * a.MotorHP
	return kva * 1000 * a.PowerFactor / a.W
}

func (a *Appliance) checkInrush(p problems) {
	if (a.InrushMultiple > 1 || a.CodeLetter != "") && a.InrushS == 0 {
		p.at("inrush_s").add(nil, "0.01 to 60", "s", "is missing beside inrush_multiple or code_letter")
	}
	if a.CodeLetter == "" {
		if a.MotorHP > 0 {
			p.at("motor_hp").add(a.MotorHP, "", "hp", "says nothing without code_letter")
		}
		return
	}
	switch {
	case len(a.CodeLetter) != 1 || !strings.Contains(codeLetters, a.CodeLetter):
		p.at("code_letter").add(a.CodeLetter, "one of "+strings.Join(strings.Split(codeLetters, ""), ", "), "", "is not a code letter")
	case a.InrushMultiple > 0:
		p.at("code_letter").add(a.CodeLetter, "", "", "says the inrush a second time, beside inrush_multiple")
	case a.MotorHP == 0:
		p.at("motor_hp").add(nil, "0.01 to 1000", "hp", "is missing beside code_letter")
	case a.inrushMultiple() < 1 || a.inrushMultiple() > 20:
		p.at("motor_hp").add(a.MotorHP, "", "hp", "does not fit w: the motor would start with less than its running current or more than 20 times as much")
	}
}
