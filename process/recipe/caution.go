package recipe

// standingCaution is kept in plain ASCII, like every caution here: the
// standard PDF fonts and every terminal show it.
const standingCaution = "This card is a starting point, not a safety data sheet. " +
	"Follow the supplier's safety data sheet, local rules and licensed practice: they take precedence over everything said here. " +
	"Suppliers classify the same substance differently, and classifications change; the sheet that came with your bottle counts. " +
	"Wear gloves and goggles, make no dust, label every bottle, keep chemicals away from food and children, " +
	"and ask the local authority before anything but plain wash water goes down a drain."

// StandingCaution returns the paragraph that stands under every process card.
func StandingCaution() string { return standingCaution }

// GeneralCaution returns the caution for work that names no process.
func GeneralCaution() string {
	return uvSentence(UVLamp) + " Follow the suppliers' safety data sheets and local rules: they take precedence."
}

// ShortCaution returns the caution for a film and for a calibration: two
// sentences that name the light and the worst hazards of the process.
func (c Card) ShortCaution() string {
	return uvSentence(c.Light) + " " + c.WorstHazards + "; follow the supplier's safety data sheet and local rules."
}

func uvSentence(light Light) string {
	if light == Daylight {
		return "UV in sunlight harms eyes and skin: never look at the sun or its reflection in the frame."
	}
	return "UV harms eyes and skin: never look at the lit lamps, and wear UV-blocking glasses."
}

// Cautions returns the `cautions` of a calibration made for the process: the
// short caution, each pair of its chemicals that must never meet, and the
// standing caution.
func (c Card) Cautions() []string {
	list := []string{c.ShortCaution()}
	for _, pair := range c.Incompatible() {
		if pair.Level == Stop {
			list = append(list, "Never bring together "+pair.String()+".")
		}
	}
	return append(list, standingCaution)
}

// LightCautions returns what to mind about the light the process uses.
func (c Card) LightCautions() []Statement {
	if c.Light == Daylight {
		return append([]Statement(nil), data().uv.DaylightCautions...)
	}
	return UVCautions()
}

// DisposalCautions returns what to mind with waste of any process.
func DisposalCautions() []Statement { return append([]Statement(nil), data().disposal...) }
