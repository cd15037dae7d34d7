package recipe

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Render writes the bench as a sheet to work by, for a terminal or paper of the
// given width (0 means 80; less than 64 is taken as 64): what must not meet
// first, then quantities, stocks, orders, cost, contrast, hazards, cautions and
// the source of every figure. It fails only if w does.
func (b *Bench) Render(w io.Writer, width int) error {
	p := newPage(width)
	for i, c := range b.Coatings {
		if i > 0 {
			p.line("")
		}
		c.renderTitle(p)
	}
	b.renderMeetings(p)
	for _, c := range b.Coatings {
		c.renderMeasure(p, b.title(c))
		c.renderStocks(p, b.title(c))
	}
	b.renderOrders(p)
	for _, c := range b.Coatings {
		c.renderCost(p, b.title(c))
		c.renderContrast(p, b.title(c))
		c.renderNotes(p, b.title(c))
	}
	b.renderHazards(p)
	p.heading("Cautions")
	for _, text := range b.Cautions {
		p.item("  ", text)
	}
	p.heading("Sources")
	p.coatSources()
	_, err := io.WriteString(w, p.b.String())
	return err
}

// title returns what tells the sections of one coating from another's.
func (b *Bench) title(c *Coating) string {
	if len(b.Coatings) == 1 {
		return ""
	}
	return ": " + c.ProcessName
}

func (c *Coating) renderTitle(p *page) {
	p.line(fmt.Sprintf("%s: %s of %s x %s mm", c.ProcessName, count(c.Prints, "print"), number(c.WidthMM), number(c.HeightMM)))
	p.line("")
	p.field("recipe", c.Recipe.ID+": "+c.Recipe.Name)
	for _, t := range c.Layers {
		p.field(t.Layer, p.cite(t.sentence(), t.Sources))
	}
	if c.LossFraction > 0 {
		text := fmt.Sprintf("%s %% of what is mixed never reaches the paper, so 1 / (1 - %s) times the coating is mixed", number(100*c.LossFraction), number(c.LossFraction))
		p.field("loss", p.cite(text, c.LossSources))
	}
}

// sentence says what a layer takes.
func (t LayerTotal) sentence() string {
	text := fmt.Sprintf("%s ml/m2 (%s): %s ml a coat, %s", figure3(t.MLPerM2), t.Text, figure3(t.MLPerCoat), count(t.Coats, "coat"))
	if t.Text == "" {
		text = fmt.Sprintf("%s ml/m2: %s ml a coat, %s", figure3(t.MLPerM2), figure3(t.MLPerCoat), count(t.Coats, "coat"))
	}
	switch t.Method {
	case Floated:
		text += "; floated: this is what the paper takes up, and the bath must fill its tray besides"
	case Poured:
		text += "; poured"
	}
	return text
}

func (b *Bench) renderMeetings(p *page) {
	p.heading("Before you begin: never bring together")
	if len(b.Incompatible) == 0 {
		p.item("  ", "No pair on file matters here.")
	}
	for _, m := range b.Incompatible {
		text := fmt.Sprintf("%s + %s: %s.", m.A.Text, m.B.Text, m.Result)
		p.item("  "+levelWords[m.Level]+"  ", p.cite(upperFirst(text), m.Sources))
		if where := m.where(); where != "" {
			p.item("        ", where)
		}
	}
	if len(b.NotOnFile) > 0 {
		p.item("  - ", "Not on file, so nothing is said of what they must not meet; read their data sheets: "+strings.Join(b.NotOnFile, ", ")+".")
	}
}

func (c *Coating) renderMeasure(p *page, title string) {
	p.heading("Measure out" + title)
	drops := false
	for i, t := range c.Layers {
		if i > 0 {
			p.line("")
		}
		p.measureRow(t.Layer, "parts", "ml/print", "drops", "ml all", "")
		for _, l := range c.Lines {
			if l.Layer == t.Layer {
				p.measureRow("  "+l.Solution, number(l.Parts), figure3(l.MLPerPrint), dropsText(l), figure3(l.MLInAll), p.partsMark(l))
				drops = drops || l.DropsPerPrint != nil
			}
		}
		p.measureRow("  together", "", figure3(t.MLPerPrint), "", figure3(t.MLInAll), "")
	}
	if drops {
		p.line("")
		c.renderDrops(p)
	}
}

func (c *Coating) renderDrops(p *page) {
	text := fmt.Sprintf("Drops for one print, at %s to the millilitre.", number(c.DropsPerML))
	if len(c.DropsSources) > 0 {
		text = p.cite(text, c.DropsSources)
	}
	p.item("  ", text+" "+data().coat.DropsPerML.Text+".")
	for _, l := range c.Lines {
		if l.DropsPerPrint != nil && *l.DropsPerPrint < fewDrops {
			p.item("  ", fmt.Sprintf("%s: so few drops are a rough measure. Mix for several prints together.", upperFirst(l.Solution)))
		}
	}
}

// fewDrops is a number of drops below which one more or less changes the mix by
// over a tenth.
const fewDrops = 5

func dropsText(l CoatLine) string {
	if l.DropsPerPrint == nil {
		return "-"
	}
	return fmt.Sprint(*l.DropsPerPrint)
}

// partsMark returns the marks of where the parts of a line come from.
func (p *page) partsMark(l CoatLine) string {
	if len(l.Sources) == 0 {
		return "yours"
	}
	return p.notes.marks(l.Sources)
}

// measureRow lays out a row of quantities. Marks that do not fit the line go
// below it, to the right.
func (p *page) measureRow(name, parts, ml, drops, all, marks string) {
	column := min(p.width-measureWidth, 30)
	row := fmt.Sprintf("  %-*s %5s %8s %5s %8s", column, cut(name, column), parts, ml, drops, all)
	if len(row)+2+len(marks) <= p.width {
		p.line(row + "  " + marks)
		return
	}
	p.line(row)
	p.item("    ", marks)
}

// measureWidth is the room that the figures and a mark or two take beside a name.
const measureWidth = 42

func (c *Coating) renderStocks(p *page, title string) {
	p.heading("Make up the stocks" + title)
	for i, s := range c.Stocks {
		if i > 0 {
			p.line("")
		}
		p.item("  ", fmt.Sprintf("%s: %s ml (%s ml are used)", upperFirst(s.Solution), number(s.MakeML), figure3(s.NeededML)))
		p.stock(s)
	}
	for _, s := range c.Baths {
		p.line("")
		p.item("  ", fmt.Sprintf("%s: stated for %s ml; make what its tray or dose takes", upperFirst(s.Solution), number(s.MakeML)))
		p.stock(s)
	}
}

// stock writes how one solution is made: amounts in one column, names in the next.
func (p *page) stock(s Stock) {
	const below = "                " // as wide as an amount
	for _, w := range s.Weights {
		amount, name := w.amount()
		p.item(fmt.Sprintf("  %*s  ", len(below)-4, amount), p.cite(name, w.Sources))
		if w.Usual != nil {
			p.item(below, p.cite(fmt.Sprintf("In use: %s to %s in 100 ml.", number(w.Usual.Low), number(w.Usual.High)), w.Usual.Sources))
		}
		for _, f := range w.OtherForms {
			p.item(below, fmt.Sprintf("Or %s g where it is %s (x %.3f, by molar mass).", figure3(f.Grams), f.Form, f.Factor))
		}
		if w.Note != "" {
			p.item(below, w.Note)
		}
	}
	if s.Making != "" {
		p.item("    ", p.cite(s.Making, s.Sources))
	}
	if len(s.Weights) > 0 {
		p.item("    ", s.upTo())
	}
}

// amount says what to weigh or measure: "3.80 g" and "Silver nitrate (3.8 % w/v)".
func (w StockWeight) amount() (amount, name string) {
	switch {
	case w.FromPercent > 0:
		return figure3(w.ML) + " ml", fmt.Sprintf("%s (to %s %% w/v)", w.Name, number(w.PercentWV))
	case w.ML > 0:
		return figure3(w.ML) + " ml", w.Name
	}
	return figure3(w.Grams) + " g", fmt.Sprintf("%s (%s %% w/v)", w.Name, number(w.PercentWV))
}

func (b *Bench) renderOrders(p *page) {
	p.heading("To have in the cupboard")
	if len(b.Orders) == 0 {
		p.item("  ", "Nothing that is weighed out.")
		return
	}
	p.item("  ", "For the stocks above; the pack is the next usual size.")
	p.line("")
	column := min(p.width-24, 44)
	p.line(fmt.Sprintf("  %-*s %10s %10s", column, "", "takes", "pack"))
	for _, o := range b.Orders {
		unit, takes, buy := "g", o.Grams, o.BuyGrams
		if o.ML > 0 {
			unit, takes, buy = "ml", o.ML, o.BuyML
		}
		p.line(fmt.Sprintf("  %-*s %7s %-2s %7s %-2s", column, cut(o.Name, column), figure3(takes), unit, number(buy), unit))
	}
}

func (c *Coating) renderCost(p *page, title string) {
	k := c.Cost
	if k == nil {
		return
	}
	p.heading("Cost" + title)
	p.costRow("for one print", "", "price", k.Currency)
	for _, l := range k.Lines {
		p.costRow(l.Item, figure3(l.Quantity)+" "+l.Unit, figure3(l.UnitPrice), fmt.Sprintf("%.2f", l.PerPrint))
	}
	p.costRow("together", "", "", fmt.Sprintf("%.2f", k.PerPrint))
	p.costRow(count(c.Prints, "print"), "", "", fmt.Sprintf("%.2f", k.InAll))
	if k.RejectFraction > 0 {
		p.costRow("each good print", number(100*k.RejectFraction)+" % rejects", "", fmt.Sprintf("%.2f", k.PerGoodPrint))
	}
	p.line("")
	p.item("  ", "What is used is counted, not what is ordered. Prices are yours.")
	if len(k.NotPriced) > 0 {
		p.item("  ", "Without a price, so not counted: "+strings.Join(k.NotPriced, "; ")+".")
	}
	if len(k.NotUsed) > 0 {
		p.item("  ", "Priced, but not used here: "+strings.Join(k.NotUsed, "; ")+".")
	}
}

// costRow lays out a row of the cost.
func (p *page) costRow(item, quantity, price, sum string) {
	column := min(p.width-44, 34)
	p.line(fmt.Sprintf("  %-*s %14s %10s %12s", column, cut(item, column), quantity, price, sum))
}

func (c *Coating) renderContrast(p *page, title string) {
	if c.Contrast == nil && len(c.ContrastSettings) == 0 {
		return
	}
	p.heading("Contrast" + title)
	if s := c.Contrast; s != nil {
		p.item("  ", p.cite("Set to "+s.sentence()+".", s.Sources))
		return
	}
	p.item("  ", "None is set. On file (--contrast takes the name):")
	agent := ""
	for _, s := range c.ContrastSettings {
		if s.Agent != agent {
			agent = s.Agent
			p.item("  - ", agent+":")
		}
		p.item("      ", p.cite(s.result(), s.Sources))
	}
}

// sentence says a setting that was chosen.
func (s ContrastChoice) sentence() string {
	text := s.Name + ", " + s.Agent
	if len(s.Parts) > 0 {
		text = s.Name + ", by the parts above"
	}
	if s.ExposureScale > 0 {
		text += fmt.Sprintf("; exposure scale %.2f", float64(s.ExposureScale))
	}
	if s.Effect != "" {
		text += "; " + s.Effect
	}
	return text
}

// result says what a setting on the list does.
func (s ContrastChoice) result() string {
	text := s.Name
	if s.ExposureScale > 0 {
		text += fmt.Sprintf(": exposure scale %.2f", float64(s.ExposureScale))
	}
	if s.Effect != "" {
		text += ": " + s.Effect
	}
	return text
}

func (c *Coating) renderNotes(p *page, title string) {
	if len(c.Notes) > 0 {
		p.heading("Notes" + title)
		p.statements(c.Notes)
	}
}

func (b *Bench) renderHazards(p *page) {
	p.heading("Hazards of what you weigh out")
	if len(b.Hazards) == 0 {
		p.item("  ", "None of the chemicals on file is used. Read the data sheets of what you do use.")
	}
	for i, h := range b.Hazards {
		if i > 0 {
			p.line("")
		}
		p.hazard(h)
	}
	p.heading("Waste")
	p.statements(b.Coatings[0].Disposal)
}

func (p *page) hazard(h Hazard) {
	c := h.Chemical
	head := c.Name
	if c.SignalWord != "" {
		head += ": " + strings.ToUpper(c.SignalWord)
	}
	p.item("  ", p.cite(head+".", c.Sources))
	for _, s := range h.Statements {
		p.item(fmt.Sprintf("    %-6s  ", s.Code), s.Text+".")
	}
	if len(h.Statements) == 0 {
		p.item("    ", "No hazard statement.")
	}
	if c.Note != "" {
		p.item("    ", c.Note)
	}
	if len(c.Variants) > 0 {
		p.item("    ", "Some suppliers classify it otherwise: the sheet that came with your bottle counts.")
	}
	p.item("    ", "Protection: "+strings.Join(c.Protection, "; ")+".")
	p.item("    ", "Disposal: "+c.Disposal+".")
}

// coatSources lists what the marks stand for, each with its kind in front.
func (p *page) coatSources() {
	for _, m := range memoryMarks {
		if s, used := p.notes.memory[m.key]; used {
			p.item(fmt.Sprintf("  %-5s ", "["+m.mark+"]"), s.FullLabel())
		}
	}
	for i, s := range p.notes.cited {
		p.item(fmt.Sprintf("  %-5s ", fmt.Sprintf("[%d]", i+1)), s.FullLabel())
	}
	p.item("  ", "Volumes to make up, sizes of packs: working values of this program. Molar masses: IUPAC, Standard atomic weights of the elements 2021.")
}

// FullLabel returns the source with its kind in front: "published: ...",
// "practitioners' pages: ...", "common practice, from memory...", "your file: ...".
func (s Source) FullLabel() string {
	switch s.Kind {
	case Published:
		return "published: " + s.Citation
	case Own:
		return "your file: " + s.Citation
	}
	return s.Label()
}

// figure3 writes a value above 0 with three significant digits, no exponent.
func figure3(x float64) string {
	if x == 0 {
		return "0"
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 2, 64), 64)
	if err != nil {
		panic("recipe: " + err.Error()) // our own formatting
	}
	decimals := 2 - int(math.Floor(math.Log10(math.Abs(rounded))+1e-9))
	return strconv.FormatFloat(rounded, 'f', min(max(decimals, 0), 6), 64)
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// cut shortens text to a column of the given width.
func cut(text string, width int) string {
	if r := []rune(text); len(r) > width {
		return string(r[:width-3]) + "..."
	}
	return text
}
