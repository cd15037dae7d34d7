package recipe

import (
	"fmt"
	"strings"
)

func (c Card) renderChemicals(p *page) {
	p.heading("Chemicals and their hazards")
	if len(c.Chemicals) == 0 {
		p.item("  ", "None of the chemicals on file is used. Read the data sheets of what you do use.")
		return
	}
	p.item("  ", p.cite("Hazard codes follow the UN GHS. Suppliers differ: the sheet that came with your bottle counts.", []Source{data().sources["un_ghs"]}))
	for _, use := range c.Chemicals {
		chemical, _ := chemicalByID(use.ID)
		p.line("")
		p.chemical(chemical, use)
	}
}

// chemical writes one chemical as this process uses it.
func (p *page) chemical(c Chemical, use ChemicalUse) {
	role := use.Role
	if use.Optional {
		role = "optional; " + role
	}
	p.item("  ", fmt.Sprintf("%s (%s)", c.Name, role))
	p.item("    ", p.cite("CAS "+casList(c.CAS)+".", c.Sources))
	if len(c.Statements) == 0 {
		p.item("    ", "No signal word and no hazard statement.")
	} else {
		p.label("", c.SignalWord, c.Pictograms, c.Statements)
	}
	if c.Note != "" {
		p.item("    ", c.Note)
	}
	for _, v := range c.Variants {
		p.label(upperFirst(p.cite(v.When, v.Sources))+": ", v.SignalWord, v.Pictograms, v.Statements)
	}
	if len(c.KeepAwayFrom) > 0 {
		p.item("    ", "Keep away from: "+strings.Join(c.KeepAwayFrom, "; ")+".")
	}
	p.item("    ", "Protection: "+strings.Join(c.Protection, "; ")+".")
	p.item("    ", "Disposal: "+c.Disposal+".")
}

// label writes signal word and pictograms, then each hazard statement.
func (p *page) label(lead, signal string, pictograms, codes []string) {
	names := make([]string, len(pictograms))
	for i, code := range pictograms {
		names[i] = fmt.Sprintf("%s (%s)", PictogramName(code), code)
	}
	var head []string
	if signal != "" {
		head = append(head, strings.ToUpper(signal))
	}
	if len(names) > 0 {
		head = append(head, "pictograms: "+strings.Join(names, ", "))
	}
	if len(head) == 0 {
		head = append(head, "no signal word")
	}
	p.item("    ", lead+strings.Join(head, "; ")+".")
	for _, code := range codes {
		s, _ := FindHazardStatement(code)
		p.item(fmt.Sprintf("      %-6s  ", code), s.Text+".")
	}
}

func casList(list []CASNumber) string {
	texts := make([]string, len(list))
	for i, n := range list {
		texts[i] = n.Number
		if n.Form != "" {
			texts[i] += " (" + n.Form + ")"
		}
	}
	return strings.Join(texts, ", ")
}

// levelWords are how a level is shown.
var levelWords = map[Level]string{Stop: "STOP", Warn: "WARN", Note: "NOTE"}

func (c Card) renderPairs(p *page) {
	p.heading("Do not bring together")
	pairs := c.Incompatible()
	if len(pairs) == 0 {
		p.item("  ", "No pair on file matters here.")
	}
	for _, pair := range pairs {
		text := fmt.Sprintf("%s + %s: %s.", pair.A.Text, pair.B.Text, pair.Result)
		p.item("  "+levelWords[pair.Level]+"  ", p.cite(upperFirst(text), pair.Sources))
	}
}

func (c Card) renderLight(p *page) {
	if c.Light == Daylight {
		p.heading("Sunlight")
		p.statements(c.LightCautions())
		return
	}
	p.heading("UV lamps")
	for _, l := range UVLimits() {
		p.item("  - ", p.cite(fmt.Sprintf("Limit, %s: %s %s; %s.", l.Name, grouped(l.Value), l.Unit, l.Remark), l.Sources))
	}
	p.item("  - ", "Time to the eye limit: "+eyeLimitTimes()+".")
	p.statements(c.LightCautions())
}

// grouped writes a whole number with its thousands apart.
func grouped(x float64) string {
	s := fmt.Sprintf("%.0f", x)
	for i := len(s) - 3; i > 0 && len(s) > 4; i -= 3 {
		s = s[:i] + keep + s[i:]
	}
	return s
}

// eyeLimitTimes returns the time to the eye limit at a few irradiances.
func eyeLimitTimes() string {
	var texts []string
	for _, irradiance := range []float64{10, 20, 50, 100, 200} {
		seconds, err := SecondsToEyeLimit(irradiance)
		if err != nil {
			panic(err) // the list above holds positive figures only
		}
		texts = append(texts, fmt.Sprintf("%g s at %g W/m2", seconds, irradiance))
	}
	return strings.Join(texts, ", ")
}
