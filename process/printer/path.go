package printer

// Node is one node of a way through printer RGB from clear film to full ink;
// percent is film ink, code values run 0 to 255.
type Node struct {
	Percent float64 `json:"percent"`
	Red     float64 `json:"red"`
	Green   float64 `json:"green"`
	Blue    float64 `json:"blue"`
}

// NewNode returns the node of a colour at a film ink.
func NewNode(percent float64, c RGB) Node { return Node{percent, c[0], c[1], c[2]} }

// RGB returns the node's colour.
func (n Node) RGB() RGB { return RGB{n.Red, n.Green, n.Blue} }

// Path is a way through printer RGB: at least two nodes, percentages rising from
// 0 to 100, straight from each to the next.
type Path []Node

// Straight returns the straight way from clear film to an ink colour.
func Straight(to RGB) Path {
	return Path{NewNode(0, Clear), NewNode(100, to)}
}

// At returns the colour at a film ink of 0 to 100 %; beyond, that of the end.
func (p Path) At(percent float64) RGB {
	i := 1
	for i < len(p)-1 && percent > p[i].Percent {
		i++
	}
	a, b := p[i-1], p[i]
	t := min(max((percent-a.Percent)/(b.Percent-a.Percent), 0), 1)
	mix := func(from, to float64) float64 { return from + float64(t*(to-from)) }
	return RGB{mix(a.Red, b.Red), mix(a.Green, b.Green), mix(a.Blue, b.Blue)}
}
