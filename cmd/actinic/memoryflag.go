package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"strings"

	"actinic/negative/batch"
	"actinic/process/measure/delimited"
)

// memoryFlag is a flag that takes an amount of memory with its unit; 0 when it
// was not given.
type memoryFlag int64

const memoryUsage = "bound the memory of all pictures in work together to `MEMORY`: 512MiB, 2GiB (default 1GiB)"

// bound makes the garbage collector work harder before pictures take more than
// the bound.
func (f memoryFlag) bound() {
	debug.SetMemoryLimit(cmp.Or(int64(f), batch.DefaultMemory) + batch.ProcessBytes)
}

// memoryUnits are what follows the number: binary prefixes as IEC 80000-13 has
// them, decimal ones as the SI has. The longer names stand first.
var memoryUnits = []struct {
	name  string
	bytes float64
}{
	{"kib", 1 << 10}, {"mib", 1 << 20}, {"gib", 1 << 30}, {"tib", 1 << 40},
	{"kb", 1e3}, {"mb", 1e6}, {"gb", 1e9}, {"tb", 1e12}, {"b", 1}, {"", 1},
}

// Bounds of --memory. Less than the first, a working value of ours, leaves no
// room for any picture.
const leastMemory, mostMemory = 32 << 20, 1 << 46

var errMemory = errors.New("expected an amount of memory from 32MiB up, as in 512MiB, 1GiB or 1.5GB")

func (f *memoryFlag) Set(text string) error {
	number := strings.ToLower(strings.TrimSpace(text))
	for _, unit := range memoryUnits {
		digits, is := strings.CutSuffix(number, unit.name)
		if !is {
			continue
		}
		v, err := delimited.ParseNumber(strings.TrimSpace(digits))
		bytes := math.Round(v * unit.bytes)
		if err != nil || !(bytes >= leastMemory && bytes <= mostMemory) {
			return errMemory
		}
		*f = memoryFlag(bytes)
		return nil
	}
	return errMemory
}

// String gives the amount in the largest binary unit of which it is a whole
// number.
func (f *memoryFlag) String() string {
	if *f == 0 {
		return ""
	}
	for _, unit := range []struct {
		name  string
		bytes memoryFlag
	}{{"GiB", 1 << 30}, {"MiB", 1 << 20}, {"KiB", 1 << 10}} {
		if *f%unit.bytes == 0 {
			return fmt.Sprintf("%d%s", *f/unit.bytes, unit.name)
		}
	}
	return fmt.Sprint(int64(*f))
}

func (f *memoryFlag) Type() string { return "MEMORY" }
