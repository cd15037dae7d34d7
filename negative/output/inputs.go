package output

import (
	"os"

	"actinic/process/fault"
)

// Guard knows the inputs of a job that writes many outputs, so that each of them
// need not look at every input again. It is safe for concurrent use.
type Guard struct {
	byIdentity map[[2]uint64]string
	others     []guarded // whose identity the system does not tell
}

type guarded struct {
	name string
	info os.FileInfo
}

// NewGuard looks at the inputs, once. Names that do not exist are passed over.
func NewGuard(inputs []string) *Guard {
	g := &Guard{byIdentity: make(map[[2]uint64]string, len(inputs))}
	for _, in := range inputs {
		info, err := os.Stat(in)
		if err != nil {
			continue
		}
		if id, ok := identity(info); ok {
			g.byIdentity[id] = in
			continue
		}
		g.others = append(g.others, guarded{in, info})
	}
	return g
}

// input returns the input that a file is, if it is one.
func (g *Guard) input(info os.FileInfo) (name string, found bool) {
	if id, ok := identity(info); ok {
		name, found = g.byIdentity[id]
		return name, found
	}
	for _, in := range g.others {
		if os.SameFile(info, in.info) {
			return in.name, true
		}
	}
	return "", false
}

// checkInputs refuses an existing output that is one of the inputs under any
// of its names.
func checkInputs(path string, info os.FileInfo, o Options) error {
	in, found := "", false
	if o.Guard != nil {
		in, found = o.Guard.input(info)
	}
	if !found && len(o.Inputs) > 0 {
		in, found = NewGuard(o.Inputs).input(info)
	}
	if !found {
		return nil
	}
	what := "is an input of this job and cannot be its output"
	if in != path {
		what = "is the same file as the input " + in + " and cannot be the output"
	}
	return fault.New(path, "", what, "give another name with -o")
}
