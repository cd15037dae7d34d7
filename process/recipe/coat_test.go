package recipe

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/process/fault"

	"pgregory.net/rapid"
)

const inchMM = 25.4

// plan8x10 is one print of 8 x 10 in without loss.
func plan8x10(process string) CoatPlan {
	return CoatPlan{Process: process, WidthMM: 8 * inchMM, HeightMM: 10 * inchMM, Prints: 1}
}

func coated(t testing.TB, p CoatPlan) *Coating {
	t.Helper()
	c, err := Coat(p)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// within fails unless got is within half a unit of want's last printed digit.
func within(t *testing.T, what string, got, want, half float64) {
	t.Helper()
	if !(math.Abs(got-want) <= half*(1+1e-9)) {
		t.Errorf("%s: %.6g, want %g +- %g", what, got, want, half)
	}
}

// TestAreas: A = w x h x 0.00064516 m2 for inches, exact since an inch is
// 25.4 mm (international yard and pound agreement, 1959); 8 x 10 in is 0.05161
// and 11 x 14 in 0.0994 m2.
func TestAreas(t *testing.T) {
	for _, tc := range []struct{ w, h, want, half float64 }{{8, 10, 0.05161, 5e-6}, {11, 14, 0.0994, 5e-5}} {
		p := CoatPlan{Process: "vandyke", WidthMM: tc.w * inchMM, HeightMM: tc.h * inchMM, Prints: 1}
		c := coated(t, p)
		within(t, fmt.Sprintf("%g x %g in", tc.w, tc.h), c.AreaM2, tc.want, tc.half)
		within(t, "the same from inches", c.AreaM2, tc.w*tc.h*0.00064516, 1e-12)
	}
}

// TestCoatingVolumes: V = A x c. 1 ml on 20 square inches is 77.5 ml/m2, so
// 4.0 ml for 8 x 10 in and 7.7 ml for 11 x 14 in (Rudiak, Platinotype, View
// Camera, 1994); 116 ml/m2 is the 6.0 ml of a double coat (S. King, forum
// table); a rod's 31 is 1.6 ml and a thin brush coat's 45 to 60 are 2.3 to 3.1
// (common practice, from memory).
func TestCoatingVolumes(t *testing.T) {
	for _, tc := range []struct{ w, h, perM2, want float64 }{
		{8, 10, 31, 1.6}, {8, 10, 45, 2.3}, {8, 10, 60, 3.1}, {8, 10, 77.5, 4.0}, {8, 10, 116, 6.0}, {11, 14, 77.5, 7.7},
	} {
		p := CoatPlan{Process: "vandyke", WidthMM: tc.w * inchMM, HeightMM: tc.h * inchMM, Prints: 1, MLPerM2: tc.perM2}
		within(t, fmt.Sprintf("%g ml/m2", tc.perM2), coated(t, p).Lines[0].MLPerPrint, tc.want, 0.05)
	}
	within(t, "1 ml on 20 sq in", 1/(20*0.00064516), 77.5, 0.05)
	for name, want := range map[string]float64{"rod": 1.6, "brush": 3.1} {
		p := plan8x10("vandyke")
		p.Coverage = name
		within(t, name, coated(t, p).Lines[0].MLPerPrint, want, 0.05)
	}
	if rod := Coverages()[0]; rod.Name != "rod" || rod.LossFraction != 0 {
		t.Errorf("a rod loses nothing: %+v", rod)
	}
}

// TestDrops: n = V x 20 (Rudiak, about 20 drops/ml). 8 x 10 in at 2.4 ml is 48
// drops, 24 of ferric oxalate and 24 of metal (common practice, from memory).
func TestDrops(t *testing.T) {
	c := coated(t, plan8x10("palladium_dop"))
	if len(c.Lines) != 2 || *c.Lines[0].DropsPerPrint != 24 || *c.Lines[1].DropsPerPrint != 24 {
		t.Errorf("%+v, want 24 and 24 drops", c.Lines)
	}
	mixed := coated(t, plan8x10("ptpd_mix"))
	if n := *mixed.Lines[0].DropsPerPrint; n != 24 || mixed.Lines[1].MLPerPrint+mixed.Lines[2].MLPerPrint != mixed.Lines[0].MLPerPrint {
		t.Errorf("%+v, want as much iron as metal, 24 drops", mixed.Lines)
	}
}

// TestPlatinumDrops: the drop table for 8 x 10 in, ferric oxalate A / B with 24
// drops of metal (common practice, from memory; Gottlieb, JAIC 34, 1995, has 22
// drops as the whole of the ferric coat). 46 drops of 20 to the ml are 2.3 ml.
func TestPlatinumDrops(t *testing.T) {
	for setting, want := range map[string][3]int{
		"very soft": {22, 0, 24}, "soft": {18, 4, 24}, "average": {14, 8, 24}, "above average": {10, 12, 24}, "very contrasty": {0, 22, 24},
	} {
		p := plan8x10("platinum_dop")
		p.MLPerM2, p.Contrast = 2.3/squareMetres8x10, setting
		got := map[string]int{}
		for _, l := range coated(t, p).Lines {
			got[l.Solution] = *l.DropsPerPrint
		}
		if got["ferric oxalate A"] != want[0] || got["ferric oxalate B"] != want[1] || got["platinum"] != want[2] {
			t.Errorf("%s: %v, want %v", setting, got, want)
		}
	}
}

// TestPublishedPlatinum: 3.5 parts of metal to 2.75 of iron, of which "brilliant"
// is A 1.75 to B 1 (Pizzighelli and von Huebl, in a handbook of about 1905).
func TestPublishedPlatinum(t *testing.T) {
	p := plan8x10("platinum_dop")
	p.Recipe, p.Contrast, p.MLPerM2 = "platinum_published", "brilliant", 6.25/squareMetres8x10
	c := coated(t, p)
	for i, want := range []float64{1.75, 1, 3.5} {
		within(t, c.Lines[i].Solution, c.Lines[i].MLPerPrint, want, 1e-9)
	}
}

// TestPercent: g = % x ml / 100, made up to the volume: 250 ml of 20 % take
// 50 g (definition of per cent w/v, from memory of handbooks).
func TestPercent(t *testing.T) {
	w := Ingredient{GramsPer100ML: 20}.weight("x", 200, 250)
	within(t, "grams", w.Grams, 50, 1e-12)
	within(t, "grams used", w.UsedGrams, 40, 1e-12)
}

// TestGrainsPerOunce: 1 grain in an imperial fluid ounce is 0.2281 g in 100 ml,
// in a US one 0.2191 (from the exact definitions of both); 30, 50 and 80 grains
// to the ounce are the 6.8, 11.4 and 18 % of the albumen silver bath (Robinson &
// Abney, The Art and Practice of Silver Printing, 1881; Workshop Receipts).
func TestGrainsPerOunce(t *testing.T) {
	at := func(grains float64, o Ounce) float64 { return (&Ingredient{GrainsPerOz: grains, Ounce: o}).percentWV() }
	within(t, "imperial", at(1, ImperialOunce), 0.2281, 5e-5)
	within(t, "US", at(1, USOunce), 0.2191, 5e-5)
	within(t, "30 grains", at(30, ImperialOunce), 6.8, 0.05)
	within(t, "50 grains", at(50, ImperialOunce), 11.4, 0.05)
	within(t, "80 grains", at(80, ImperialOunce), 18, 0.5)
	// Wall's albumen: 60 grains in albumen 6 oz, water 14 drams (8 to the oz) and
	// spirit 96 minims (480 to the oz) is "about 1.7 %" chloride.
	ounces := 6 + 14.0/8 + 96.0/480
	albumen := coated(t, plan8x10("albumen")).Stocks[0].Weights
	within(t, "salt in albumen", at(60/ounces, ImperialOunce), albumen[1].PercentWV, 0.05)
	within(t, "albumen", 100*6/ounces, albumen[0].ML/coated(t, plan8x10("albumen")).Stocks[0].MakeML*100, 0.05)
}

// TestDilution: V1 = C2 V2 / C1: 1 litre of 2 % from 30 % takes 66.7 ml.
func TestDilution(t *testing.T) {
	w := Ingredient{GramsPer100ML: 2, FromPercent: 30}.weight("x", 0, 1000)
	within(t, "30 % solution", w.ML, 66.7, 0.05)
	if w.Grams != 0 || w.PercentWV != 2 {
		t.Errorf("%+v: a solution is not weighed", w)
	}
}

// ownRecipe is a file of one recipe whose solutions have these parts.
func ownRecipe(t testing.TB, parts ...float64) *Book {
	t.Helper()
	var b strings.Builder
	for i, p := range parts {
		fmt.Fprintf(&b, `,{"name":"s%d","parts":%g,"contents":[],"sources":[]}`, i, p)
	}
	text := `{"format":"actinic recipes","version":1,"recipes":[{"id":"own","process":"own","name":"own",
		"coating_ml_8x10in":{"value":3.2},"layers":[{"name":"coat","solutions":[` + b.String()[1:] + `]}]}]}`
	book, err := ReadBook(strings.NewReader(text), "own.json")
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// TestParts: 3.2 ml at 1 + 1 is 1.6 and 1.6; hydrochloric acid 1 part in 60 of
// water is 1/61, 1.6 % by volume (Schriever, Practical Photography: 1 oz in 60).
func TestParts(t *testing.T) {
	p := plan8x10("own")
	p.Book = ownRecipe(t, 1, 1)
	for _, l := range coated(t, p).Lines {
		within(t, "1 + 1", l.MLPerPrint, 1.6, 1e-9)
	}
	p.Book = ownRecipe(t, 1, 60)
	c := coated(t, p)
	within(t, "1 + 60, per cent", 100*c.Lines[0].MLPerPrint/c.Layers[0].MLPerPrint, 1.6, 0.05)
}

// TestSilverToSalt: silver nitrate is about 4 times the salt, 12 % for 3 %
// (Buffaloe, Salted paper, quoting Reilly).
func TestSilverToSalt(t *testing.T) {
	for _, r := range data().recipesFor("salted_paper") {
		var salt, silver float64
		for _, l := range r.Layers {
			for _, s := range l.Solutions {
				for _, c := range s.Contents {
					switch c.Chemical {
					case "nacl":
						salt = c.GramsPer100ML
					case "agno3":
						silver = c.GramsPer100ML
					}
				}
			}
		}
		if silver != 4*salt || salt == 0 {
			t.Errorf("%s: salt %g %%, silver %g %%", r.ID, salt, silver)
		}
	}
}

// TestBatchOfPrints: a batch of 50, 25 and 20 ml makes about 60 prints of
// 8 x 10 in (Ware, The platino-palladiotype process; volumes from memory), so
// about 1.6 ml a print, which is the card's figure.
func TestBatchOfPrints(t *testing.T) {
	c := coated(t, plan8x10("pop_palladium"))
	within(t, "prints of a batch", (50+25+20)/c.Layers[0].MLPerPrint, 60, 1)
}

// TestLoss: 15 % that stays in the brush of what is mixed leaves 85 %.
func TestLoss(t *testing.T) {
	p := plan8x10("vandyke")
	dry := coated(t, p).Lines[0].MLPerPrint
	p.LossFraction = 0.15
	within(t, "left of the mix", coated(t, p).Lines[0].MLPerPrint*0.85, dry, 1e-12)
	p.Process = "albumen"
	if c := coated(t, p); c.LossFraction != 0 || c.Lines[0].DropsPerPrint != nil {
		t.Errorf("floated albumen: loss %g, drops %v; want neither", c.LossFraction, c.Lines[0].DropsPerPrint)
	}
}

// TestOnceIsOnce: further coats repeat the silver, not the salting.
func TestOnceIsOnce(t *testing.T) {
	p := plan8x10("salted_paper")
	one := coated(t, p)
	p.Coats = 2
	two := coated(t, p)
	within(t, "salting", two.Lines[0].MLPerPrint, one.Lines[0].MLPerPrint, 1e-12)
	within(t, "silver", two.Lines[1].MLPerPrint, 2*one.Lines[1].MLPerPrint, 1e-12)
}

// TestPalladiumContrast: the worked example of the fit, 1.55 takes 3.3 ml of 5 %
// in a litre (line through S. King's table).
func TestPalladiumContrast(t *testing.T) {
	p := plan8x10("palladium_dop")
	p.Contrast = "1.55"
	c := coated(t, p)
	within(t, "ml per litre", c.Contrast.MLPerLitre, 3.3, 0.05)
	if !slices.ContainsFunc(c.Hazards, func(h Hazard) bool { return h.Chemical.ID == "k2cr2o7" }) {
		t.Error("the dichromate of the developer is missing from the hazards")
	}
	within(t, "grams for 100 ml", c.Baths[0].Weights[0].Grams, 5, 1e-12)
	p.Contrast = "8 ml"
	if c := coated(t, p); c.Contrast.ExposureScale != 1.36 {
		t.Errorf("8 ml per litre: %+v", c.Contrast)
	}
}

// TestMeetings: dangers inside one plan are found before anything is measured.
func TestMeetings(t *testing.T) {
	find := func(c *Coating, result string) *Meeting {
		for i := range c.Incompatible {
			if strings.Contains(c.Incompatible[i].Result, result) {
				return &c.Incompatible[i]
			}
		}
		return nil
	}
	p := plan8x10("platinum_dop")
	if find(coated(t, p), "chlorine dioxide") != nil {
		t.Error("chlorate is called out in a plan without it")
	}
	p.Contrast = "average"
	m := find(coated(t, p), "chlorine dioxide")
	if m == nil || !slices.Equal(m.WhereA, []string{"ferric oxalate B"}) || !strings.Contains(m.where(), "both in one bottle") {
		t.Errorf("chlorate with oxalic acid: %+v", m)
	}
	b, err := CoatAll(plan8x10("vandyke"), plan8x10("palladium_dop"))
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(b.Incompatible, func(m Meeting) bool { return strings.Contains(m.Result, "silver oxalate") })
	if i < 0 || !slices.Contains(b.Incompatible[i].WhereB, "Palladium, developing-out: ferric oxalate") {
		t.Errorf("silver of one process and oxalate of another: %+v", b.Incompatible)
	}
}

// TestEveryCardCoatsOrSaysWhyNot: there is no silence.
func TestEveryCardCoatsOrSaysWhyNot(t *testing.T) {
	without := map[string]string{"chrysotype": "strengths", "polymer_gravure": "come coated", "pop_silver_chloride": "comes coated"}
	for _, card := range Cards() {
		c, err := Coat(plan8x10(card.ID))
		if why, ok := without[card.ID]; ok {
			var e *fault.Error
			if !errors.As(err, &e) || !strings.Contains(e.What, why) || e.Hint == "" {
				t.Errorf("%s: %v, want a refusal that says %q", card.ID, err, why)
			}
			continue
		}
		if err != nil || len(c.Lines) == 0 || len(c.Sources) == 0 || len(c.Cautions) != 2 {
			t.Errorf("%s: %v, %+v", card.ID, err, c)
			continue
		}
		for _, h := range c.Hazards {
			if !slices.Contains(card.ChemicalIDs(true), h.Chemical.ID) {
				t.Errorf("%s: the recipe has %s, the card does not", card.ID, h.Chemical.ID)
			}
		}
		typical := card.CoatingML8x10.Typical
		last := c.Layers[len(c.Layers)-1]
		within(t, card.ID+": ml for 8 x 10 in", last.MLPerPrint, typical, 1e-9)
	}
}

// TestRecipesAgreeWithCards: the strengths are the ones that the cards state.
func TestRecipesAgreeWithCards(t *testing.T) {
	for _, tc := range []struct{ recipe, say string }{
		{"cyanotype_classic", "citrate 25 g"}, {"cyanotype_classic", "ferricyanide 10 g"},
		{"cyanotype_classic_20_8", "20 g and 8 g per 100 ml"},
		{"cyanotype_new", "oxalate 30 g"}, {"cyanotype_new", "dichromate 0.1 g"},
		{"vandyke", "citrate 9 g, tartaric acid 1.5 g, silver nitrate 3.8 g"},
		{"kallitype", "ferric oxalate 20 % and silver nitrate 10 %"},
		{"kallitype_1916", "ferric oxalate 22.5 g, neutral potassium oxalate 5.5 g, silver nitrate 5.5 g"},
		{"palladium_dop", "Ferric oxalate 24.8 g"}, {"palladium_dop", "dihydrate 9.5 g and sodium chloride 8.3 g"},
		{"palladium_acid_iron", "ferric oxalate 27 g with oxalic acid 3 g"},
		{"platinum_published", "ferric oxalate 27.4 g and oxalic acid 1.8 g"}, {"platinum_published", "about 15.6 g"},
		{"gum", "10 % potassium dichromate"}, {"gum", "350 g per litre"},
		{"carbon", "gelatin about 31 %, sugar 4 %, soap 3.4 %, pigment 2.3 %"},
		{"salted_paper_arrowroot", "arrowroot 35 g, sodium chloride 35 g, citric acid 3 g"},
	} {
		i := slices.IndexFunc(Recipes(), func(r Recipe) bool { return r.ID == tc.recipe })
		if i < 0 {
			t.Fatalf("no recipe %s", tc.recipe)
		}
		card, _ := Find(Recipes()[i].Process)
		if !slices.ContainsFunc(card.Sensitiser, func(s Statement) bool { return strings.Contains(s.Text, tc.say) }) {
			t.Errorf("%s: the card does not say %q", tc.recipe, tc.say)
		}
	}
}

func TestCoatRefuses(t *testing.T) {
	good := plan8x10("vandyke")
	for _, tc := range []struct {
		change func(*CoatPlan)
		want   string
	}{
		{func(p *CoatPlan) { p.Process = "" }, "none was named"},
		{func(p *CoatPlan) { p.Process = "vandike" }, "no process has this name"},
		{func(p *CoatPlan) { p.Recipe = "nobody's" }, "no recipe has this name"},
		{func(p *CoatPlan) { p.WidthMM = math.NaN() }, "sides"},
		{func(p *CoatPlan) { p.HeightMM = 1e9 }, "sides"},
		{func(p *CoatPlan) { p.Prints = 0 }, "prints"},
		{func(p *CoatPlan) { p.Prints = 1 << 30 }, "prints"},
		{func(p *CoatPlan) { p.Coats = -1 }, "coats"},
		{func(p *CoatPlan) { p.LossFraction = 1 }, "loss"},
		{func(p *CoatPlan) { p.LossFraction = math.NaN() }, "loss"},
		{func(p *CoatPlan) { p.DropsPerML = 1 }, "drops"},
		{func(p *CoatPlan) { p.MLPerM2 = math.Inf(1) }, "coverage"},
		{func(p *CoatPlan) { p.Coverage = "trowel" }, "coverage"},
		{func(p *CoatPlan) { p.Contrast = "average" }, "no contrast setting"},
		{func(p *CoatPlan) { p.Contrast = "1.5" }, "palladium_dop only"},
		{func(p *CoatPlan) { p.Contrast = "NaN" }, "palladium_dop only"},
		{func(p *CoatPlan) { p.Parts = map[string]float64{"gold": 1} }, "no solution has this name"},
		{func(p *CoatPlan) { p.Parts = map[string]float64{"sensitiser": 0} }, "0 parts"},
		{func(p *CoatPlan) { p.Parts = map[string]float64{"sensitiser": math.Inf(1)} }, "parts"},
		{func(p *CoatPlan) { p.Process, p.Contrast = "palladium_dop", "2.5" }, "tried from"},
		{func(p *CoatPlan) { p.Process, p.Contrast = "platinum_dop", "hard" }, "no contrast setting has this name"},
	} {
		p := good
		tc.change(&p)
		_, err := Coat(p)
		var e *fault.Error
		if !errors.As(err, &e) || e.Hint == "" || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%+v: %v, want a *fault.Error with a hint that names %q", p, err, tc.want)
		}
	}
	if _, err := CoatAll(); err == nil {
		t.Error("no plan at all was taken")
	}
	if _, err := CoatAll(good, good); err == nil {
		t.Error("one process was taken twice")
	}
}

// drawPlan draws a plan that is within the bounds.
func drawPlan(t *rapid.T) CoatPlan {
	recipes := Recipes()
	r := recipes[rapid.IntRange(0, len(recipes)-1).Draw(t, "recipe")]
	return CoatPlan{
		Process: r.Process, Recipe: r.ID,
		WidthMM:  rapid.Float64Range(5, 1000).Draw(t, "width"),
		HeightMM: rapid.Float64Range(5, 1000).Draw(t, "height"),
		Prints:   rapid.IntRange(1, 500).Draw(t, "prints"), Coats: rapid.IntRange(0, 5).Draw(t, "coats"),
		LossFraction: rapid.Float64Range(0, 0.5).Draw(t, "loss"), DropsPerML: rapid.Float64Range(5, 100).Draw(t, "drops"),
	}
}

// TestCoatAddsUp: solutions add up to their layer, totals are the print times
// the prints, drops are the nearest whole number, the stock holds what is used
// and the pack what the stock takes, and twice the area takes twice as much.
func TestCoatAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlan(t)
		c, err := Coat(p)
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, a, b float64) {
			if math.Abs(a-b) > 1e-9*(math.Abs(a)+math.Abs(b)) {
				t.Errorf("%s: %g and %g", what, a, b)
			}
		}
		for _, layer := range c.Layers {
			sum := 0.0
			for _, l := range c.Lines {
				if l.Layer == layer.Layer {
					sum += l.MLPerPrint
				}
			}
			near("parts of "+layer.Layer, sum, layer.MLPerPrint)
			near("all of "+layer.Layer, layer.MLInAll, layer.MLPerPrint*float64(p.Prints))
		}
		for i, l := range c.Lines {
			near("in all", l.MLInAll, l.MLPerPrint*float64(p.Prints))
			if l.DropsPerPrint != nil && math.Abs(float64(*l.DropsPerPrint)-l.MLPerPrint*p.DropsPerML) > 0.5+1e-6 {
				t.Errorf("%g ml are %d drops", l.MLPerPrint, *l.DropsPerPrint)
			}
			if s := c.Stocks[i]; s.MakeML < s.NeededML*(1-1e-9) || s.MakeML > max(5, 2*s.NeededML+500) {
				t.Errorf("%g ml are made for %g", s.MakeML, s.NeededML)
			}
		}
		for _, o := range c.Orders {
			if o.BuyGrams < o.Grams*(1-1e-9) || o.BuyML < o.ML*(1-1e-9) || o.Grams+o.ML <= 0 {
				t.Errorf("%+v", o)
			}
		}
		p.WidthMM *= 2
		twice, err := Coat(p)
		if err != nil {
			t.Fatal(err)
		}
		near("twice the area", twice.Lines[0].MLPerPrint, 2*c.Lines[0].MLPerPrint)
	})
}
