package recipe

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// Render writes the card as text for a terminal of the given width (0 means
// 80; less than 64 is taken as 64): way round of the film, starting figures
// with their sources, steps, contrast controls, what to watch for, the hazards of every chemical,
// pairs to keep apart, light, standing caution, sources. It fails only if w does.
func (c Card) Render(w io.Writer, width int) error {
	p := newPage(width)
	c.renderSummary(p)
	c.renderFigures(p)
	c.renderWork(p)
	c.renderContrast(p)
	c.renderFaults(p)
	c.renderChemicals(p)
	c.renderPairs(p)
	p.heading("Waste")
	p.statements(DisposalCautions())
	c.renderLight(p)
	p.heading("Standing caution")
	p.item("  ", standingCaution)
	p.heading("Sources")
	p.list()
	_, err := io.WriteString(w, p.b.String())
	return err
}

func (c Card) renderSummary(p *page) {
	p.line(c.FullName)
	p.line("")
	p.field("id", c.ID)
	p.field("image", c.Image)
	p.field("working", c.Mode)
	p.field("film", c.filmSentence())
	p.field("hazard level", c.hazardSentence())
	p.field("in short", c.ShortCaution())
}

// filmSentence says which film goes in, and which way round.
func (c Card) filmSentence() string {
	film, sense := "negative", "more exposure prints darker"
	if c.Polarity == Positive {
		film = "positive"
	}
	if c.Falling {
		sense = "more exposure prints lighter"
	}
	way := "mirrored"
	if !c.Mirrored {
		way = "NOT mirrored"
	}
	return fmt.Sprintf("a %s, %s; %s. %s", film, way, sense, c.MirrorNote)
}

// hazardSentence names the optional chemicals that raise the level.
func (c Card) hazardSentence() string {
	text := string(c.HazardLevel)
	if c.HazardLevelWithOptions == c.HazardLevel {
		return text
	}
	var names []string
	for _, use := range c.Chemicals {
		chemical, _ := chemicalByID(use.ID)
		if use.Optional && chemical.hazardLevel() == c.HazardLevelWithOptions {
			names = append(names, lowerFirst(chemical.Name))
		}
	}
	return fmt.Sprintf("%s; %s with %s (optional)", text, c.HazardLevelWithOptions, either(names))
}

func (c Card) renderFigures(p *page) {
	p.heading("Starting figures")
	p.item("  ", "They are where to begin. Your own calibration replaces them.")
	p.line("")
	p.line(figureRow("", "low", "typical", "high", "source"))
	c.renderExposure(p)
	s := c.ExposureScale
	p.figure("exposure scale, log10", hundredths(s.Low), hundredths(s.Typical), hundredths(s.High), s.Sources)
	if k := c.CoatingML8x10; k != nil {
		p.figure("coating, ml for 8 x 10 in", number(k.Low), number(k.Typical), number(k.High), k.Sources)
	}
	d := c.MaximumDensity
	p.figure("maximum print density", hundredths(d.Low), hundredths(d.Typical), hundredths(d.High), d.Sources)
	p.figure("relative humidity, %", number(c.HumidityPercent.Low), "", number(c.HumidityPercent.High), c.HumidityPercent.Sources)
	peak := ""
	if c.UVPeakNM > 0 {
		peak = number(c.UVPeakNM)
	}
	p.figure("useful light, nm", number(c.UVNM.Low), peak, number(c.UVNM.High), c.UVNM.Sources)
	p.line("")
	c.renderFigureNotes(p)
}

func (c Card) renderExposure(p *page) {
	m := c.ExposureMinutes
	start := ""
	if c.StartingExposure.Minutes > 0 {
		start = number(roundTo2(c.StartingExposure.Minutes)) + "*"
	}
	p.figure("exposure, min", number(m.Low), start, number(m.High), m.Sources)
}

// renderFigureNotes writes what the table has no room for.
func (c Card) renderFigureNotes(p *page) {
	mark := "* "
	if c.StartingExposure.Minutes == 0 {
		mark = ""
	}
	p.field("exposure", c.ExposureBasis+". "+mark+upperFirst(c.StartingExposure.Label)+".")
	p.field("coats", c.coatsSentence())
	p.field("hue", p.cite(c.Hue.Text, c.Hue.Sources))
	lightness, a, b := c.HueLab.Middle()
	estimate := fmt.Sprintf("about L* %s, a* %s, b* %s at maximum density (%s)", whole(float64(lightness)), whole(a), whole(b), c.HueLab.Label)
	p.field("", p.cite(estimate, c.HueLab.Lightness.Sources))
}

func (c Card) coatsSentence() string {
	if c.CoatingML8x10 == nil {
		return c.Coats
	}
	return fmt.Sprintf("%s; typical coating is %.0f ml/m2", c.Coats, c.CoatingMLPerM2())
}

func (c Card) renderWork(p *page) {
	p.heading("Sensitiser")
	p.statements(c.Sensitiser)
	p.heading("Steps")
	for i, s := range c.Steps {
		p.item(fmt.Sprintf("  %2d. ", i+1), p.cite(s.Text, s.Sources))
	}
	p.heading("Dry-down")
	p.statements(c.DryDown)
	p.heading("Notes")
	p.statements(c.Notes)
}

func (c Card) renderContrast(p *page) {
	p.heading("Contrast controls")
	p.statements(c.ContrastControls)
	agent := ""
	for _, row := range c.ContrastTable {
		if row.Agent != agent {
			agent = row.Agent
			p.line("")
			p.item("  ", upperFirst(agent)+":")
		}
		p.item(fmt.Sprintf("    %-*s  ", c.doseWidth(agent), row.Dose), p.cite(row.result(), row.Sources))
	}
}

// doseWidth returns the width of the column of doses of one agent.
func (c Card) doseWidth(agent string) int {
	width := 0
	for _, row := range c.ContrastTable {
		if row.Agent == agent {
			width = max(width, len(row.Dose))
		}
	}
	return width
}

// result returns what a setting does, in words.
func (r ContrastRow) result() string {
	if r.ExposureScale == 0 {
		return r.Effect
	}
	text := fmt.Sprintf("exposure scale %.2f", float64(r.ExposureScale))
	if r.Effect != "" {
		text += "; " + r.Effect
	}
	return text
}

// figureRow lays out one line of the table of figures.
func figureRow(name, low, typical, high, source string) string {
	if !strings.HasSuffix(typical, "*") {
		typical += " " // the star of the exposure has a column of its own
	}
	return fmt.Sprintf("  %-25s %5s %8s %6s  %s", name, low, typical, high, source)
}

func (p *page) figure(name, low, typical, high string, sources []Source) {
	p.line(figureRow(name, low, typical, high, p.notes.marks(sources)))
}

func whole(x float64) string { return number(math.Round(x)) }

func hundredths[T ~float64](x T) string { return fmt.Sprintf("%.2f", float64(x)) }

// number writes a value with as many decimals as it has, two at most.
func number(x float64) string {
	s := fmt.Sprintf("%.2f", x)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// roundTo2 rounds to two significant digits; x is above 0.
func roundTo2(x float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Round(x/unit) * unit
}

func upperFirst(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func lowerFirst(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToLower(text[:1]) + text[1:]
}
