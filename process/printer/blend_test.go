package printer

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"actinic/process/fault"
)

// checkBlend holds what is promised of any path.
func checkBlend(t interface {
	Helper()
	Fatalf(string, ...any)
}, p Path, most int) {
	t.Helper()
	if len(p) < 2 || len(p) > most || p[0] != NewNode(0, Clear) || p[len(p)-1].Percent != 100 {
		t.Fatalf("no path of 2 to %d nodes from clear film: %v", most, p)
	}
	for i, n := range p {
		for _, v := range n.RGB() {
			if !(v >= 0 && v <= 255) {
				t.Fatalf("node %d: %v", i, n)
			}
		}
		if i > 0 && !(n.Percent > p[i-1].Percent) {
			t.Fatalf("node %d does not rise: %v", i, p)
		}
	}
}

// Yellow alone steps by 2/255. Cyan, which the ink colour holds too, fills its
// gaps: traded for yellow code by code, the two step by the difference, 1.1/255,
// and cyan alone by 0.9/255.
func TestBlendFillsTheGaps(t *testing.T) {
	to := RGB{100, 255, 0}
	for _, o := range []BlendOptions{{NeededRange: 1.9, FixedEnd: true}, {NeededRange: 1.9}, {FixedEnd: true}} {
		p, err := NewBlend(yellowStrong, to, o)
		if err != nil {
			t.Fatal(err)
		}
		checkBlend(t, p, usualNodes)
		g := GradationOptions{Range: o.NeededRange}
		line, blend := GradationOf(yellowStrong, Straight(to), g), GradationOf(yellowStrong, p, g)
		if line.LargestStep < 2.0/255-1e-9 {
			t.Errorf("%+v", line)
		}
		if blend.LargestStep > 1.2/255 || !blend.Rises || blend.LargestFall > 1e-9 {
			t.Errorf("%+v: %+v\n%v", o, blend, p)
		}
		if o.FixedEnd && p[len(p)-1].RGB() != to {
			t.Errorf("it ends in %v", p[len(p)-1])
		}
		if !blendGains(line, blend) {
			t.Error("it gains, and does not say so")
		}
		if blend.LevelsPerTenth < 1.2*line.LevelsPerTenth {
			t.Errorf("%.1f levels a tenth, %.1f on the line", blend.LevelsPerTenth, line.LevelsPerTenth)
		}
	}
}

// UV density rises evenly with film ink: at a quarter of it lies a quarter.
func TestBlendRisesEvenly(t *testing.T) {
	curved := told(func(c RGB) float64 {
		y, k := (255-c[2])/255, (255-c[0])/255
		return 2*y*(0.7+0.3*y) + 0.9*k
	})
	p, err := NewBlend(curved, RGB{60, 255, 0}, BlendOptions{NeededRange: 1.8})
	if err != nil {
		t.Fatal(err)
	}
	checkBlend(t, p, usualNodes)
	if len(p) == 2 {
		t.Fatal("no blend")
	}
	end := curved(p.At(100))
	for percent := 5.0; percent < 100; percent += 5 {
		if off := curved(p.At(percent))/end - percent/100; math.Abs(off) > 0.04 {
			t.Errorf("at %g %% UV density is off an even rise by %.3f of the whole", percent, off)
		}
	}
}

// Where no other ink stops anything, nothing is gained, and the line is kept.
func TestBlendThatGainsNothing(t *testing.T) {
	lone := told(func(c RGB) float64 { return 2 * (255 - c[2]) / 255 })
	p, err := NewBlend(lone, RGB{255, 255, 0}, BlendOptions{NeededRange: 1.5})
	if err != nil || len(p) != 2 || p[1].RGB() != (RGB{255, 255, 0}) {
		t.Errorf("%v, %v", p, err)
	}
}

// A printer that takes out colour for a weaker black falls along the line; the
// blend goes round.
func TestBlendGoesRoundAFall(t *testing.T) {
	reverses := told(func(c RGB) float64 {
		y := (255 - c[2]) / 255
		grey := min(255-c[0], 255-c[1], 255-c[2]) / 255
		black := max(0, grey-0.5)
		return 2*y + 0.5*(255-c[0])/255 + 0.3*(255-c[1])/255 - 4.5*black
	})
	line := GradationOf(reverses, Straight(RGB{}), GradationOptions{})
	if line.Rises {
		t.Fatal("the line rises")
	}
	p, err := NewBlend(reverses, RGB{}, BlendOptions{NeededRange: 1.4})
	if err != nil {
		t.Fatal(err)
	}
	checkBlend(t, p, usualNodes)
	if g := GradationOf(reverses, p, GradationOptions{Range: 1.4}); !g.Rises || g.Range < 1.4 {
		t.Errorf("%+v", g)
	}
}

// unsure doubts dark colours.
type unsure struct{ told }

func (u unsure) UVDensity(c RGB) (uv, sd float64) { return u.told(c), 0.1 }

// An end that the blend chooses surely reaches the needed range.
func TestBlendEndsWhereItIsSure(t *testing.T) {
	p, err := NewBlend(unsure{yellowStrong}, RGB{0, 0, 0}, BlendOptions{NeededRange: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	if end := yellowStrong(p.At(100)); end < 1.5+sure*0.1 {
		t.Errorf("it ends at %.3f +- 0.1 for 1.5", end)
	}
}

func TestBlendKeepsToItsNodes(t *testing.T) {
	for _, most := range []int{1, 3, 4, 7, 20} {
		p, err := NewBlend(yellowStrong, RGB{0, 0, 0}, BlendOptions{NeededRange: 1.5, MostNodes: most})
		if err != nil {
			t.Fatal(err)
		}
		checkBlend(t, p, max(most, 3))
	}
}

func TestBlendRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		m    Predictor
		to   RGB
		want string
	}{
		"clear film":  {yellowStrong, Clear, "stops no ultraviolet"},
		"no colour":   {yellowStrong, RGB{0, 0, 256}, "no printer colour"},
		"NaN":         {yellowStrong, RGB{0, math.NaN(), 0}, "no printer colour"},
		"no number":   {told(func(RGB) float64 { return math.NaN() }), RGB{}, "stops no ultraviolet"},
		"weaker":      {told(func(c RGB) float64 { return -even(c) }), RGB{}, "stops no ultraviolet"},
		"no boundary": {told(func(c RGB) float64 { return math.Inf(1) }), RGB{}, "stops no ultraviolet"},
	} {
		_, err := NewBlend(c.m, c.to, BlendOptions{})
		var f *fault.Error
		if !errors.As(err, &f) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// Whatever the printer and the ink colour, a path comes out that keeps its
// promises, and is not worse than the line as the predictor tells it.
func TestBlendOfAnyPrinter(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 7))
	blends := 0
	for i := range 16 {
		w := [3]float64{2 * rng.Float64(), 2 * rng.Float64(), 2 * rng.Float64()}
		wave, bend := 0.2*rng.Float64(), 0.5+1.5*rng.Float64()
		m := told(func(c RGB) float64 {
			sum, ripple := 0.0, 1.0
			for i, v := range c {
				x := (255 - v) / 255
				sum += w[i] * math.Pow(x, bend)
				ripple += wave * math.Sin(9*x)
			}
			return sum * ripple
		})
		to := RGB{255 * rng.Float64(), 255 * rng.Float64(), 255 * rng.Float64()}
		o := BlendOptions{NeededRange: []float64{0, 0.3, 1, 3}[i%4], FixedEnd: i%8 < 4}
		p, err := NewBlend(m, to, o)
		if err != nil {
			t.Fatalf("%v: %v", to, err)
		}
		checkBlend(t, p, usualNodes)
		g := GradationOptions{Range: o.NeededRange}
		line, blend := GradationOf(m, Straight(to), g), GradationOf(m, p, g)
		if len(p) > 2 {
			blends++
		}
		if len(p) > 2 && !blendGains(line, blend) {
			t.Errorf("a blend that gains nothing: %+v, line %+v", blend, line)
		}
	}
	if blends < 5 {
		t.Errorf("%d blends only", blends)
	}
}

// A channel that the ink colour does not use is entered only as far as light
// inks print alone, or where its steps are much smaller than aimed at.
func TestBlendKeepsOutOfForeignChannels(t *testing.T) {
	leaps := told(func(c RGB) float64 { // cyan as strong as half of yellow
		return 2*(255-c[2])/255 + 0.9*(255-c[0])/255
	})
	p, err := NewBlend(leaps, RGB{255, 255, 0}, BlendOptions{NeededRange: 1.9})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range p {
		if n.Red < lightCodes-15 {
			t.Errorf("%v goes far into cyan", n)
		}
	}
}
