package api

import (
	"fmt"
)

// People is the year with somebody always on site and with nobody there.
type People struct {
	Differs  bool   `json:"differs" doc:"Whether the two differ in any figure."`
	AsGiven  string `json:"on_site" enum:"always,weekends,never" doc:"Who is on site in the figures of this answer, as the request says."`
	Attended Glance `json:"attended" doc:"With somebody always on site."`
	Nobody   Glance `json:"nobody_there" doc:"With nobody there but a visitor from elsewhere, after visit_response_h."`
	Words    string `json:"words" doc:"The difference in words."`
}

// presences are who is on site in the years that an answer tells of: attended, and
// nobody there.
var presences = [2]string{"always", "never"}

// peopleTask runs the year with and without somebody on site. Where that makes
// no difference the years are the same.
func (x *subject) peopleTask(by *crew) task {
	given := x.c.System.Controls.Operator.OnSite
	var t task
	for i, onSite := range presences {
		if onSite == given || !x.peopleMatter() {
			x.peopled[i] = x.year
		} else if x.peopled[i] == nil {
			t.runs = append(t.runs, func() { x.peopled[i] = x.onSite(by, onSite) })
		}
	}
	t.end = func() {
		p := &People{AsGiven: given, Attended: glance(&x.peopled[0].Figures), Nobody: glance(&x.peopled[1].Figures)}
		p.Differs = p.Attended != p.Nobody
		p.Words = p.words()
		x.more.set(func() { x.more.people = p })
	}
	return t
}

func (p *People) words() string {
	a, n := &p.Attended, &p.Nobody
	switch {
	case !p.Differs && n.DowntimeH == 0:
		return "The site is not dark, whether somebody is there or not."
	case !p.Differs:
		return fmt.Sprintf("It makes no difference that somebody is there: %s dark.", hours(n.DowntimeH))
	}
	text := fmt.Sprintf("With somebody always on site %s dark, with nobody there %s", hours(a.DowntimeH), hours(n.DowntimeH))
	switch {
	case a.DowntimeH == 0 && n.DowntimeH == 0:
		text = "The site is not dark, whether somebody is there or not"
	case hours(a.DowntimeH) == hours(n.DowntimeH):
		text = fmt.Sprintf("Whether somebody is there or not, %s dark", hours(n.DowntimeH))
	}
	if d := a.GeneratorH - n.GeneratorH; d >= 0.5 || d <= -0.5 {
		text += fmt.Sprintf("; the generator runs for %s and %s", hours(a.GeneratorH), hours(n.GeneratorH))
	}
	if hours(a.LinkDownH) != hours(n.LinkDownH) {
		text += fmt.Sprintf("; the data link is down for %s and %s", hours(a.LinkDownH), hours(n.LinkDownH))
	}
	return text + "."
}

// hours says a length of time without false decimals.
func hours(h float64) string { return short(h) + " h" }
