package darkroom

import "actinic/process/density"

// Print is how one print differs from the setup's plain print. The zero value
// does not differ.
type Print struct {
	Offset       density.LogExposure // more exposure than the plain print
	Contrast     float64             // log exposure is stretched by 1 + Contrast about half net density
	PaperShift   density.Density     // added to paper density
	MaximumShift density.Density     // added to maximum density
	// ReversalLoss turns the most exposed end back: print density lost for one
	// unit of log exposure past ReversalFrom, with a soft start.
	ReversalLoss density.Density
	ReversalFrom density.LogExposure
}

// reversalSoftness is the log exposure over which a reversal sets in.
const reversalSoftness = 0.03

// PrintDensityOn returns the density of print p where log exposure x falls;
// x is 0 through clear film in the plain print.
func (s *Setup) PrintDensityOn(p Print, x density.LogExposure) density.Density {
	return s.printed(p, x)
}

func (s *Setup) printed(p Print, x density.LogExposure) density.Density {
	x += p.Offset
	if p.Contrast != 0 {
		middle := s.exposureFor(s.netShare(0.5))
		x = middle + (x-middle)*density.LogExposure(1+p.Contrast)
	}
	paper := s.paper + float64(p.PaperShift)
	maximum := s.maximum + float64(p.MaximumShift)
	d := paper + (maximum-paper)*s.fraction(x)
	if p.ReversalLoss != 0 {
		past := float64(x-p.ReversalFrom) / reversalSoftness
		d -= float64(p.ReversalLoss) * reversalSoftness * softplus(past)
	}
	return density.Density(d)
}
