package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"actinic/process/recipe"
)

// percentFlag is a flag that takes a share in per cent.
type percentFlag struct{ fraction float64 }

var errPercent = errors.New("expected per cent from 0 to 90, as 15%")

func (f *percentFlag) Set(text string) error {
	digits, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(digits), ",", ".", 1), 64)
	if err != nil || !(x >= 0 && x <= 90) || !percent && x != 0 {
		return errPercent
	}
	f.fraction = x / 100
	return nil
}

func (f *percentFlag) String() string {
	return strconv.FormatFloat(f.fraction*100, 'g', 6, 64) + "%"
}

func (f *percentFlag) Type() string { return "SHARE" }

// coverageFlag is a flag that takes a way of coating or ml for a square metre.
type coverageFlag struct {
	name    string
	mlPerM2 float64
}

var errCoverage = errors.New("expected rod, brush, or millilitres for a square metre, as 77.5")

func (f *coverageFlag) Set(text string) error {
	text = strings.ToLower(strings.TrimSpace(text))
	if slices.ContainsFunc(recipe.Coverages(), func(c recipe.Coverage) bool { return c.Name == text }) {
		*f = coverageFlag{name: text}
		return nil
	}
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSuffix(text, "ml/m2"), ",", ".", 1), 64)
	if err != nil || !(x > 0 && x <= 10000) {
		return errCoverage
	}
	*f = coverageFlag{mlPerM2: x}
	return nil
}

func (f *coverageFlag) String() string {
	if f.mlPerM2 > 0 {
		return strconv.FormatFloat(f.mlPerM2, 'g', -1, 64)
	}
	return f.name
}

func (f *coverageFlag) Type() string { return "ML" }

// loss returns the usual loss of the named way of coating, else other.
func (f *coverageFlag) loss(other float64) float64 {
	for _, c := range recipe.Coverages() {
		if c.Name == f.name {
			return c.LossFraction
		}
	}
	return other
}

// partsFlag is a flag that takes parts by the name of a solution.
type partsFlag struct {
	byName map[string]float64
	text   string
}

func (f *partsFlag) Set(text string) error {
	parts := map[string]float64{}
	for _, field := range strings.Split(text, ",") {
		at := strings.LastIndex(field, "=")
		if at < 1 {
			return errors.New("expected SOLUTION=PARTS, several with commas between, as platinum=6,palladium=18")
		}
		name := strings.TrimSpace(field[:at])
		x, err := strconv.ParseFloat(strings.TrimSpace(field[at+1:]), 64)
		if _, twice := parts[name]; twice || err != nil || !(x >= 0) {
			return fmt.Errorf("parts of %q: expected one number from 0 up", name)
		}
		parts[name] = x
	}
	f.byName, f.text = parts, text
	return nil
}

func (f *partsFlag) String() string { return f.text }
func (f *partsFlag) Type() string   { return "PARTS" }
