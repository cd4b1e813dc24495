package api

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/tabular"
)

// A study may name every figure of other runs that a cell may ask for.
func TestStudy_FurtherNames(t *testing.T) {
	f, ok := reflect.TypeFor[StudyRequest]().FieldByName("Further")
	require.True(t, ok)
	assert.Equal(t, strings.Join(furtherNames(), ","), f.Tag.Get("enum"))
}

// The further figures of a run are those that a single simulation of its document answers
// with the details, also in a lane that computes many runs; all others stay the same.
func TestStudy_FurtherFigures(t *testing.T) {
	base := with(t, complete(t), `{"bank":{"operation":"data_linked","link_faults":{"mean_hours_between":700,"mean_repair_h":48}},"controls":{"operator":{"on_site":"weekends"}}}`)
	axes := `"axes":[{"path":"bank.modules","numbers":[1,4]},{"path":"load.scale_to_kwh_per_day","numbers":[4,9]}]`
	s := readOf(t, studyOf(t, base, `{"kind":"sweep",`+axes+`,"further_figures":["nobody_there_downtime_h","breaks_first","load_headroom_fraction","autonomy_h","recharge_by_sun_h","recharge_by_generator_h","attended_downtime_h","downtime_high_h","downtime_words"]}`))
	require.Empty(t, s.check(t.Context(), func() *lane { return newLane(s, Cases{}) }))
	plain := computed(t, readOf(t, studyOf(t, base, `{"kind":"sweep",`+axes+`}`)), nil, 4)
	bundle, err := s.bundle(nil)
	require.NoError(t, err)
	data, err := NewStudyWorker(quiet()).Work(t.Context(), bundle, 0, s.Plan.Runs())
	require.NoError(t, err)
	columns := s.computed()
	got, err := tabular.DecodePart(data, columns)
	require.NoError(t, err)
	assert.Len(t, columns, len(computedColumns())+9)
	told := 0
	for run := range s.Plan.Runs() {
		c, faults, _ := (&Cases{}).Read(s.Document(run))
		require.Empty(t, faults)
		x := &subject{c: c, year: c.Plan().Run(false), more: &more{}}
		require.True(t, deepen(alone(), []*subject{x}, WithPeople, WithBands, WithEndurance, WithHeadroom))
		for _, f := range s.further() {
			i := tabular.Find(columns, f.name)
			switch want := f.value(x).(type) {
			case float64:
				assert.Equal(t, want, got.Numbers[i][run], "%s of run %d", f.name, run)
				told++
			case string:
				assert.Equal(t, want, got.Texts[i][run], "%s of run %d", f.name, run)
				told++
			default:
				assert.True(t, f.text && got.Texts[i][run] == "" || !f.text && math.IsNaN(got.Numbers[i][run]), "%s of run %d", f.name, run)
			}
		}
		for i := range computedColumns() {
			if columns[i].Kind == tabular.Text {
				assert.Equal(t, plain.Texts[i][run], got.Texts[i][run], columns[i].Name)
			} else {
				assert.True(t, plain.Numbers[i][run] == got.Numbers[i][run] || math.IsNaN(plain.Numbers[i][run]) && math.IsNaN(got.Numbers[i][run]), columns[i].Name)
			}
		}
	}
	assert.Greater(t, told, 25)
	people := tabular.Find(columns, "nobody_there_downtime_h")
	assert.NotEqual(t, got.Numbers[people], got.Numbers[tabular.Find(columns, "attended_downtime_h")], "somebody on site matters here")
}

// The summary tells the further figures, and a name that is none is a fault.
func TestStudies_FurtherFigures(t *testing.T) {
	s := studying(t, t.TempDir())
	raw := studyOf(t, complete(t), `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[2,4]}],"further_figures":["autonomy_h","breaks_first"]}`)
	a := finished(t, s, studyAnswer(t, call(t, s, "POST", "/v1/studies", raw), 201).ID)
	names := columnNamesOf(a)
	assert.Equal(t, []string{"autonomy_h", "breaks_first"}, names[len(names)-2:])
	last := a.Summary.Figures[len(a.Summary.Figures)-1]
	assert.Equal(t, []string{"autonomy_h", "h"}, []string{last.Figure, last.Unit})
	assert.Less(t, 1.5*last.Lowest, last.Highest, "twice the modules")
	only := studyAnswer(t, call(t, s, "GET", "/v1/studies/"+a.ID+"?figures=autonomy_h", nil), 200)
	require.Len(t, only.Summary.Figures, 1)
	problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"?figures=breaks_first", nil), 400)
	problemOf(t, call(t, s, "GET", "/v1/studies/"+a.ID+"?figures=load_headroom_fraction", nil), 400)
	_, faults, _ := readStudy(studyOf(t, complete(t), `{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[2]}],"further_figures":["autonomy_d"]}`))
	require.Len(t, faults, 1)
	assert.Equal(t, "/further_figures/0", faults[0].Pointer)
}

// What the further figures of a run cost: years that are simulated beside its own.
func BenchmarkStudyFurther(b *testing.B) {
	for _, further := range []string{``, `"autonomy_h"`, `"attended_downtime_h"`, `"downtime_low_h"`, `"load_headroom_fraction"`} {
		b.Run(further, func(b *testing.B) {
			s, l := benchStudy(b, strings.TrimSuffix(bankAxes, "}")+`,"further_figures":[`+further+`]}`)
			run := 0
			for b.Loop() {
				c, faults := l.prepare(run % s.Plan.Runs())
				require.Empty(b, faults)
				l.subject(c)
				run++
			}
		})
	}
}
