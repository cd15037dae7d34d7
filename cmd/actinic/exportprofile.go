package main

import (
	"io"
	"path/filepath"
	"strings"
	"time"

	"actinic/negative/profile"
	"actinic/process/calibration"
	"actinic/process/fault"
)

// codingFlag says how a grey picture for the link is coded.
type codingFlag string

const (
	codingSRGB  codingFlag = "srgb"
	codingLstar codingFlag = "lstar"
)

func (f *codingFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{string(codingSRGB), string(codingLstar)}}.set(text)
}
func (f *codingFlag) String() string { return string(*f) }
func (f *codingFlag) Type() string   { return "CODED" }

// coding returns what the flag stands for.
func (f codingFlag) coding() profile.Coding {
	if f == codingLstar {
		return profile.CodedLightness
	}
	return profile.CodedSRGB
}

// profileJobs are the profiles and the table that the flags ask for.
func (o *exportOptions) profileJobs(c *calibration.Calibration) ([]job, error) {
	k, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	if o.icc != "" {
		if err := o.greyProfileHolds(c, k); err != nil {
			return nil, err
		}
	}
	link := o.linkOf(c, k)
	return []job{
		{o.icc, binaryContent, func(w io.Writer) error { return profile.WriteGrey(w, o.greyProfile(c, k)) }},
		{o.link, binaryContent, func(w io.Writer) error { return profile.WriteLink(w, link) }},
		{o.greyICC, binaryContent, func(w io.Writer) error {
			return profile.WriteCoded(w, link.From, link.Grey, c.Made)
		}},
		{o.table, textContent, func(w io.Writer) error { return profile.WriteTable(w, link, o.origin(c)) }},
	}, nil
}

// greyProfileHolds refuses what a profile of one grey channel can't carry.
func (o *exportOptions) greyProfileHolds(c *calibration.Calibration, k *calibration.InkCurve) error {
	if !k.Neutral() {
		return notNeutralFault(o.calibration)
	}
	if ink := c.Curve.Ink; ink[0] > ink[len(ink)-1] {
		return fault.New(inputName(o.calibration), "", "film ink falls as tone rises (a positive-working process), which no such profile holds",
			"use --link and --grey-icc, or make the films with 'actinic negative'")
	}
	return nil
}

func (o *exportOptions) greyProfile(c *calibration.Calibration, k *calibration.InkCurve) profile.GreyProfile {
	return profile.GreyProfile{Description: "actinic: " + o.setupName() + ", film ink (invert it)", Copyright: exportRights, Ink: k.Darkness, Created: c.Made}
}

// linkOf is the way from coded grey to the film.
func (o *exportOptions) linkOf(c *calibration.Calibration, k *calibration.InkCurve) profile.Link {
	from := o.coding.coding()
	return profile.Link{
		Description: "actinic: " + o.setupName() + ", " + from.String() + " grey to film",
		Copyright:   exportRights,
		From:        from,
		Film:        func(tone float64) [3]float64 { return k.Device(k.Ink(tone)) },
		Grey:        k.Neutral(),
		Created:     c.Made,
	}
}

// exportRights is what the profiles say of rights: none are claimed.
const exportRights = "No copyright, use freely"

// setupName is the calibration's file name without its endings.
func (o *exportOptions) setupName() string {
	return strings.TrimSuffix(filepath.Base(inputName(o.calibration)), ".calibration.json")
}

// origin says which calibration it was.
func (o *exportOptions) origin(c *calibration.Calibration) string {
	return "calibration: " + filepath.Base(inputName(o.calibration)) + ", made " + c.Made.UTC().Format(time.RFC3339)
}
