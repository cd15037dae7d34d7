package main

import (
	"fmt"

	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/process/measure"
)

// readInks reads an inks file that the user named.
func (a *app) readInks(name string) (*calibration.Inks, error) {
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return calibration.DecodeInks(in, inputName(name))
}

// takeInks takes the path of the calibration from the inks file that --ink-colour
// names, held against the readings; free text it leaves as it is.
func (a *app) takeInks(o *curveOptions, rq *calibration.Request, prints []calibration.Print) error {
	name := o.setup.InkColour
	if !isInksFile(name) {
		return nil
	}
	k, err := a.readInks(name)
	if err != nil {
		return err
	}
	var ramps []*measure.Table
	for _, p := range prints {
		if p.Ramp != nil {
			ramps = append(ramps, p.Ramp)
		}
	}
	if rq.Path, err = k.PrintedPath(ramps); err != nil {
		return fault.InFile(err, inputName(name))
	}
	end := rq.Path[len(rq.Path)-1]
	rq.Setup.InkColour = fmt.Sprintf("RGB %g, %g, %g, %s", end.Red, end.Green, end.Blue, wayWords(rq.Path))
	return nil
}

// wayWords names the way to an ink colour.
func wayWords(path []calibration.PathNode) string {
	if len(path) == 2 {
		return "straight"
	}
	return fmt.Sprintf("ink blend of %d nodes", len(path))
}
