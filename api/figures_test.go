package api

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/sim"
)

// A number is left out of tables where the answer leaves it out, and nowhere else.
func TestFigures_LeftOutAsInTheAnswer(t *testing.T) {
	var full sim.Figures
	for v, i := reflect.ValueOf(&full).Elem(), 0; i < v.NumField(); i++ {
		switch x := v.Field(i); {
		case x.CanFloat():
			x.SetFloat(1.5)
		case x.CanInt():
			x.SetInt(2)
		}
	}
	for name, f := range map[string]*sim.Figures{"nothing": {}, "everything": &full} {
		raw, err := document.Encode(f)
		require.NoError(t, err)
		var members map[string]any
		require.NoError(t, json.Unmarshal(raw, &members))
		left := 0
		for _, x := range FiguresOf(f) {
			_, text := x.Value.(string)
			if strings.Contains(x.Name, ".") || text {
				continue
			}
			_, there := members[x.Name]
			assert.Equal(t, !there, x.LeftOut, "%s of %s", x.Name, name)
			if x.LeftOut {
				left++
				assert.Contains(t, x.Doc, "left out", "%s: its definition says so", x.Name)
			}
		}
		assert.Equal(t, name == "nothing", left > 0, name)
	}
}
