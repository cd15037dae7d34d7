package handout

import (
	"bytes"
	"context"
	"errors"
	"image/jpeg"
	"image/png"
	"math"

	"actinic/negative/proof"
	"actinic/negative/raster"
	"actinic/process/fault"
	"actinic/process/recipe"
)

// New returns a handout with the quantities to measure out: one coating plan for
// each size, with the usual loss in the brush.
func New(person string, card recipe.Card, films []Film, exposure Exposure) (Handout, error) {
	h := Handout{Person: person, Process: card, Films: films, Exposure: exposure}
	if card.CoatingML8x10 == nil {
		return h, nil
	}
	for _, s := range sizesOf(films) {
		k, err := recipe.Coat(recipe.CoatPlan{Process: card.ID, WidthMM: s.widthMM, HeightMM: s.heightMM, Prints: s.prints, LossFraction: recipe.UsualLoss().Value})
		var user *fault.Error
		if len(h.Coatings) == 0 && len(recipe.BuiltIn().RecipesFor(card.ID)) == 0 && errors.As(err, &user) {
			h.NoQuantities = user.What
			return h, nil
		}
		if err != nil {
			return h, err
		}
		h.Coatings = append(h.Coatings, k)
	}
	return h, nil
}

type printSize struct {
	widthMM, heightMM float64
	prints            int
}

// sizesOf counts prints by size in whole millimetres: pixels round sizes by a
// tenth or so. A print and one that lies across take the same.
func sizesOf(films []Film) []printSize {
	var all []printSize
next:
	for _, f := range films {
		w, h := math.Round(min(f.WidthMM, f.HeightMM)), math.Round(max(f.WidthMM, f.HeightMM))
		for i := range all {
			if all[i].widthMM == w && all[i].heightMM == h {
				all[i].prints += f.Copies
				continue next
			}
		}
		all = append(all, printSize{w, h, f.Copies})
	}
	return all
}

// PrintPX is the longer side that a print to expect needs in pixels: some 200 to
// the inch as the only one of its page.
const PrintPX = 480

// printQuality of JPEG shows no blocks at that size (a working value of ours).
const printQuality = 90

// Print runs a proof and returns it as Film has it. It fails as the proof's rows
// do.
func Print(ctx context.Context, p *proof.Proof) ([]byte, error) {
	var b bytes.Buffer
	sink, err := raster.NewPNG(&b, p.Header(), &raster.PNGOptions{SRGB: true})
	if err != nil {
		return nil, err
	}
	defer sink.Abort()
	if err := p.Run(ctx, sink); err != nil {
		return nil, err
	}
	if err := sink.Commit(); err != nil {
		return nil, err
	}
	img, err := png.Decode(&b)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = jpeg.Encode(&out, img, &jpeg.Options{Quality: printQuality})
	return out.Bytes(), err
}
