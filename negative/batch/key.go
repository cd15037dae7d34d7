package batch

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"math"

	"actinic/negative/tone"
)

// engineVersion is raised when the same picture, curve and options give a film
// of other pixels: films made before are then made again.
const engineVersion = 1

// Key returns the SHA-256, in hex, of all that decides a film besides its
// picture: the curve itself, the options and the version of the engine. Equal
// keys mean equal films. Where files lie, what they are called and when a film
// is made count only where the film shows them, in its label.
func (r *Recipe) Key() string {
	h := sha256.New()
	fmt.Fprintf(h, "engine %d, format %q, compression %d, label %v\n", engineVersion, r.Format, r.Compress, r.Label)
	if r.Label {
		fmt.Fprintf(h, "%q %q\n", r.About.Process, r.About.Calibration)
	}
	writeOptions(h, r.Tone)
	writeCurve(h, r.Curve)
	return hex.EncodeToString(h.Sum(nil))
}

// writeOptions adds the options that change a film, whatever fields they have.
func writeOptions(h hash.Hash, o tone.Options) {
	o.HeldBytes, o.Label = 0, ""
	if o.Depth == 0 {
		o.Depth = 16
	}
	text, err := json.Marshal(o)
	if err != nil { // not a number: no film comes of it
		text = []byte(err.Error())
	}
	h.Write(text)
}

// curveSteps is four times as fine as the nodes of a calibration, which lie among
// them.
const curveSteps = 4096

// writeCurve adds film ink and printer values along the tones. They are rounded
// so that processors agree.
func writeCurve(h hash.Hash, c tone.Curve) {
	var at [4]float64
	line := make([]byte, 0, 8*len(at))
	for i := range curveSteps + 1 {
		ink := c.Ink(100 * float64(i) / curveSteps)
		device := c.Device(ink)
		at = [4]float64{ink / 100, device[0], device[1], device[2]}
		line = line[:0]
		for _, v := range at {
			line = binary.BigEndian.AppendUint64(line, uint64(int64(math.Round(v*(1<<24)))))
		}
		h.Write(line)
	}
	full := c.Device(100) // of edge and marks, whatever the curve uses
	fmt.Fprintf(h, "%.6f %v", full, c.Neutral())
}
