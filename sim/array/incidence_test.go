package array

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func cosDeg(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }

// Duffie & Beckman, Solar Engineering of Thermal Processes, reflectance of one
// surface of glass of index 1.526 (from memory): .0434 at a right angle, .093
// at 60°. The modifier is the passed part at 60° over that at 0°; Bouguer's
// absorption in 2 mm at 4 /m adds a factor e^(−.008(1/cos θr − 1)), θr 34.58°.
func TestPhysicalModifier_Fresnel(t *testing.T) {
	assert.InDelta(t, 1-.0434, normalTransmittance, 5e-5)
	want := (1 - .093) / (1 - .0434) * math.Exp(-.008*(1/cosDeg(34.58)-1))
	assert.InDelta(t, want, PhysicalModifier(cosDeg(60)), 6e-4)
}

// At Brewster's angle, atan n, light of one polarisation is not reflected and
// of the other ((n² − 1)/(n² + 1))² is; the refracted ray is at right angles
// to the reflected one (optics).
func TestPhysicalModifier_Brewster(t *testing.T) {
	n := 1.526
	brewster := math.Atan(n)
	r := math.Pow((n*n-1)/(n*n+1), 2) / 2
	absorbed := math.Exp(-.008 / math.Cos(math.Pi/2-brewster))
	normal := math.Exp(-.008) * (1 - math.Pow((n-1)/(n+1), 2))
	assert.InDelta(t, absorbed*(1-r)/normal, PhysicalModifier(math.Cos(brewster)), 1e-12)
}

func TestASHRAEModifier(t *testing.T) {
	assert.Equal(t, 1.0, ASHRAEModifier(1))
	assert.InDelta(t, .95, ASHRAEModifier(cosDeg(60)), 1e-12) // 1 − .05(2 − 1)
	assert.Zero(t, ASHRAEModifier(.01))
}

func TestModifiers_Ends(t *testing.T) {
	for _, name := range []string{"ashrae", "physical", "none"} {
		m := modifier(name)
		assert.InDelta(t, 1, m(1), 1e-15, name)
		assert.Zero(t, m(0), name)
		assert.Zero(t, m(-.5), name)
	}
	assert.Panics(t, func() { modifier("other") })
}

func TestModifiers_FallWithAngle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 90).Draw(t, "a"), rapid.Float64Range(0, 90).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		for _, m := range []func(float64) float64{ASHRAEModifier, PhysicalModifier} {
			if m(cosDeg(b)) > m(cosDeg(a))+1e-12 || m(cosDeg(a)) > 1 {
				t.Fatalf("modifier rises from %g° to %g°", a, b)
			}
		}
	})
}

// The effective angles against what they stand for: the mean modifier over an
// even sky (and an even ground) that the plane sees, weighted by the cosine of
// incidence, summed over the hemisphere by the midpoint rule (geometry). The fit
// is stated for tilted collectors with one or more covers, hence the margins.
func TestDiffuseAngles_AgainstHemisphere(t *testing.T) {
	for _, tilt := range []float64{0, 15, 30, 45, 60, 75, 90} {
		sky, ground := hemisphere(tilt, PhysicalModifier)
		skyDeg, groundDeg := DiffuseAngles(tilt)
		assert.InDelta(t, sky, PhysicalModifier(cosDeg(skyDeg)), .006, "sky at %g°", tilt)
		if tilt > 0 { // a flat plane sees no ground
			assert.InDelta(t, ground, PhysicalModifier(cosDeg(groundDeg)), .015, "ground at %g°", tilt)
		}
	}
}

// hemisphere integrates a modifier over the parts of the view of a plane that
// lie above and below the horizon.
func hemisphere(tiltDeg float64, modifier func(float64) float64) (sky, ground float64) {
	const steps = 360
	sinT, cosT := math.Sincos(tiltDeg * math.Pi / 180)
	var skyW, groundW float64
	for i := range steps { // angle of incidence
		theta := (float64(i) + .5) / steps * math.Pi / 2
		sin, cos := math.Sincos(theta)
		m := modifier(cos)
		for j := range steps { // around the normal
			phi := (float64(j) + .5) / steps * 2 * math.Pi
			up := cos*cosT + sin*math.Cos(phi)*sinT
			if up > 0 {
				sky, skyW = sky+m*cos*sin, skyW+cos*sin
			} else {
				ground, groundW = ground+m*cos*sin, groundW+cos*sin
			}
		}
	}
	return sky / skyW, ground / max(groundW, 1e-300)
}
