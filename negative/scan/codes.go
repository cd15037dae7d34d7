package scan

import (
	"sync"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/makiuchi-d/gozxing/qrcode/encoder"
)

// masks is how many ways ISO/IEC 18004 has of drawing one text.
const masks = 8

// drawCode returns a text as a code of version 1, level H, under each mask. It
// reports false where the text is too long for it.
func drawCode(text string) (drawn [masks]pattern, ok bool) {
	for mask := range drawn {
		code, err := encoder.Encoder_encode(text, decoder.ErrorCorrectionLevel_H, map[gozxing.EncodeHintType]any{
			gozxing.EncodeHintType_QR_VERSION:      1,
			gozxing.EncodeHintType_QR_MASK_PATTERN: mask,
		})
		if err != nil || code.GetMatrix().GetWidth() != modules {
			return drawn, false
		}
		for i := range modules {
			for j := range modules {
				if drawn[mask][i][j] = -1; code.GetMatrix().Get(j, i) == 1 {
					drawn[mask][i][j] = 1
				}
			}
		}
	}
	return drawn, true
}

// framePattern returns the modules that all codes of version 1 share: those that
// no mask and no text changes.
var framePattern = sync.OnceValue(func() *pattern {
	frame := new(pattern)
	drawn, ok := drawCode("00000000")
	if !ok {
		return frame
	}
	*frame = drawn[0]
	for _, other := range drawn {
		for i := range frame {
			for j := range frame[i] {
				if frame[i][j] != other[i][j] {
					frame[i][j] = 0
				}
			}
		}
	}
	return frame
})

// decode returns the text that a code says by itself. A code seen from its back
// does not count: its page lies otherwise than thought.
func (g *codeGrid) decode() (text string, ok bool) {
	// The library comes from another language in which a bad index is an error
	// like others; nothing that is printed may end the program.
	defer func() {
		if recover() != nil {
			text, ok = "", false
		}
	}()
	dark := make([][]bool, modules)
	for i := range dark {
		dark[i] = make([]bool, modules)
		for j := range dark[i] {
			dark[i][j] = g.tone[i][j] > 0
		}
	}
	result, err := decoder.NewDecoder().DecodeBoolMapWithoutHint(dark)
	if err != nil || result.GetOther() != nil {
		return "", false
	}
	return result.GetText(), true
}

// leastMatch is the correlation from which a code is taken to say a text of
// which only that is asked. A code of which half is gone still reaches 0.7; in 1800
// places of patch fields chance reached 0.25 at most.
const leastMatch = 0.45

// says returns which of some texts the code says: a code too spoilt to be
// decoded still tells well enough which of few it is. It returns -1 for none.
func (g *codeGrid) says(texts []string) int {
	best, most := -1, leastMatch
	for k, text := range texts {
		drawn, ok := drawCode(text)
		if !ok {
			continue
		}
		for mask := range drawn {
			for i := range modules {
				for j := range modules {
					if framePattern()[i][j] != 0 {
						drawn[mask][i][j] = 0
					}
				}
			}
			if m := drawn[mask].match(g.tone); m > most {
				best, most = k, m
			}
		}
	}
	return best
}
