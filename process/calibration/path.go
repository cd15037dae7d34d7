package calibration

import (
	"fmt"
	"sort"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// pathNodes collects one node a level from ramps with code values, in the order
// of ink. One level must always be the same colour.
func pathNodes(ramps []*measure.Table) ([]PathNode, error) {
	at := map[float64]PathNode{}
	with, without := 0, 0
	for _, t := range ramps {
		for _, r := range t.Readings {
			if !r.HasDevice {
				without++
				continue
			}
			with++
			n := printer.NewNode(r.Ink, r.Device)
			if old, ok := at[r.Ink]; ok && old != n {
				return nil, fault.New(t.File, "patch "+r.ID, fmt.Sprintf("prints %g %% ink with RGB %g, %g, %g, another patch with %g, %g, %g",
					r.Ink, n.Red, n.Green, n.Blue, old.Red, old.Green, old.Blue), "all prints of one calibration share one ink ramp")
			}
			at[r.Ink] = n
		}
	}
	if with > 0 && without > 0 {
		return nil, fault.New(ramps[0].File, "", "some ramps give red, green and blue and some do not", "give them for all, or for none (the neutral ramp)")
	}
	var nodes []PathNode
	for _, n := range at {
		nodes = append(nodes, n)
	}
	sort.Slice(nodes, func(i, j int) bool { return nodes[i].Percent < nodes[j].Percent })
	if len(nodes) == 1 {
		return nil, fault.New(ramps[0].File, "", "holds one ink level", "print a ramp")
	}
	return nodes, nil
}
