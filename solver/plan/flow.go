package plan

import (
	"maps"
	"math"

	"gonum.org/v1/gonum/graph/multi"
	"gonum.org/v1/gonum/graph/topo"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// FlowChart is the readings of a job worked out beforehand: which one first, and by what it shows which one then, until enough is
// known. Situations that are alike are one node, so it is a graph and no tree; it has no circle.
type FlowChart struct {
	Job   *circuits.Job
	Nodes []FlowNode // Nodes[0] is where to begin; whatever a node leads to stands behind it
}

// FlowKind says what is done at a node of a chart.
type FlowKind uint8

// What is done at a node.
const (
	FlowReading  FlowKind = iota // Reading is taken; it goes on by Branches
	FlowRepair                   // enough is known: Places, in the order in which they are tried
	FlowOneByOne                 // the chart ends here: the next reading is worked out from all that were taken
)

// FlowNode is one node of a chart.
type FlowNode struct {
	Kind     FlowKind
	Share    float64          // of the machines that the chart is for, those that come here
	Reading  circuits.Reading // without a value
	Left     circuits.Reading // the one before it, which the machine stands after; zero at the beginning
	Minutes  float64          // of the reading itself
	ToGo     float64          // expected minutes of readings from here on, as far as the chart goes
	Branches []Branch         // values from low to high, then what is no value
	Places   []rank.PlaceOdds // left here, the unlikely ones left out; likeliest first, or in the order to be tried
	Way      []FlowStep       // how most come here
}

// Branch is an outcome of a node's reading. What lies between two branches belongs to neither: the reading is taken again.
type Branch struct {
	Low, High float64 // by the logarithm for ohms
	None      bool    // there is no value
	OL        bool    // it reaches beyond the meter's range
	Sound     bool    // a sound machine shows this
	Share     float64 // of those at the node
	Node      int
}

// FlowStep is a branch taken.
type FlowStep struct{ Node, Branch int }

// Follow is the node that a taken reading leads to from a node; ok is false where its value lies in no branch.
func (c FlowChart) Follow(node int, taken circuits.Reading) (next int, ok bool) {
	value := taken.Value
	if taken.Quantity == circuits.Ohms {
		value = math.Log(max(value, leastOhms))
	}
	for _, b := range c.Nodes[node].Branches {
		if !b.None && (taken.OL && b.OL || !taken.OL && value >= b.Low && value <= b.High) {
			return b.Node, true
		}
	}
	return 0, false
}

// FollowNone is the node that a reading without a value leads to.
func (c FlowChart) FollowNone(node int) (next int, ok bool) {
	for _, b := range c.Nodes[node].Branches {
		if b.None {
			return b.Node, true
		}
	}
	return 0, false
}

const (
	// flowLeastShare is the share of all machines from which on a branch is drawn.
	flowLeastShare = 0.003
	// flowNodeShare is the share from which on a situation is worked out.
	flowNodeShare = 0.01
	// flowPlaceShare is the least share for which a place is named at a node, flowMostPlaces the most that are.
	flowPlaceShare = 0.03
	flowMostPlaces = 5
	// leastOhms is what the logarithm of ohms begins at.
	leastOhms = 0.1
)

// FlowJob is a job as a chart is worked out for it: switches and the like whose setting nobody knows are assumed to stand as Nominal has
// them, for a chart that does not know them would take each reading of one for another toss of a coin. Who follows the chart sees to
// the settings that were assumed; they are in the order of the circuit.
func FlowJob(j *circuits.Job) (own *circuits.Job, assumed []circuits.SetDevice) {
	copied := *j
	copied.Assume = maps.Clone(j.Assume)
	if copied.Assume == nil {
		copied.Assume = map[string]float64{}
	}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if _, known := j.SetOf(circuits.Reading{}, d); known || !d.Kind.HasStimulus() || !d.Kind.TwoState() {
			continue
		}
		copied.Assume[d.Name] = d.Nominal()
		assumed = append(assumed, circuits.SetDevice{Device: d.Name, Set: d.Nominal()})
	}
	return &copied, assumed
}

// Flow works out the chart of a ranking's job with about that many nodes; what is left then is taken reading by reading. It is
// for faults that stay: of a symptom that comes and goes, and of a pyrotechnic circuit, the chart has no reading.
func Flow(r *rank.Ranking, nodes int) FlowChart {
	const spare = 3 // situations are worked out for each that is kept
	f := newFlow(r, spare*nodes)
	f.build()
	f.prune(nodes)
	return f.chart()
}

// flow is a chart while it is made.
type flow struct {
	r      *rank.Ranking
	most   int
	places placeIndex
	source []int // by particle: its candidate; the last particle is what no hypothesis looks at
	place  []int // by particle: its place
	sound  int   // the particle of a sound machine; -1 where there is none
	lenses []lens
	nodes  []*flowDraft
	open   []int // nodes to be worked out
	leaf   map[string]int
	known  map[string]int
	rest   int // the node in which the chart ends; -1 while there is none
}

// flowDraft is a node with the weights of the particles that come to it.
type flowDraft struct {
	FlowNode
	weights []float64
	taken   map[int]bool // lenses used on the way here
	reached map[string]bool
	depth   int    // readings on the way here
	best    *split // the reading that is chosen; nil where none tells enough

}

func newFlow(r *rank.Ranking, nodes int) *flow {
	f := &flow{r: r, most: nodes, places: newPlaceIndex(r), leaf: map[string]int{}, known: map[string]int{}, rest: -1, sound: -1}
	if r.Job.Circuit.Pyrotechnic || r.Job.Intermittent {
		return f
	}
	particles := r.FineParticles()
	root := &flowDraft{taken: map[int]bool{}, reached: r.Job.Reached()}
	root.Left = r.Job.Left()
	for i, p := range particles {
		if r.Candidates[p.Candidate].Whole() == (circuits.Fault{}) {
			f.sound = i
		}
		f.source = append(f.source, p.Candidate)
		root.weights = append(root.weights, p.Weight)
	}
	for i, c := range r.Candidates {
		if c.Fault.Kind == circuits.Unlisted {
			f.source, root.weights = append(f.source, i), append(root.weights, c.Probability)
			break
		}
	}
	for _, candidate := range f.source {
		f.place = append(f.place, f.places.place[candidate])
	}
	f.lenses = lensesOf(r, particles)
	normalise(root.weights)
	root.Share = 1
	f.nodes = []*flowDraft{root}
	return f
}

func normalise(weights []float64) {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	for i := range weights {
		weights[i] /= total
	}
}

// odds are the places of a draft, by number.
func (f *flow) odds(weights []float64) map[int]float64 {
	out := map[int]float64{}
	for p, w := range weights {
		out[f.place[p]] += w
	}
	return out
}

// named are the places of a draft that are named, likeliest first.
func (f *flow) named(weights []float64) []rank.PlaceOdds {
	odds := f.odds(weights)
	var out []rank.PlaceOdds
	for _, n := range byWeight(odds) {
		if len(out) < flowMostPlaces && (len(out) == 0 || odds[n] >= flowPlaceShare) {
			out = append(out, rank.PlaceOdds{Place: f.places.places[n], Probability: odds[n], Leading: f.leading(n, weights)})
		}
	}
	return out
}

// leading is the likeliest fault of a place.
func (f *flow) leading(place int, weights []float64) circuits.Fault {
	faults := map[int]float64{}
	for p, candidate := range f.source {
		if f.place[p] == place {
			faults[candidate] += weights[p]
		}
	}
	if best := byWeight(faults); len(best) > 0 {
		return f.r.Candidates[best[0]].Whole().WithoutOhms()
	}
	return circuits.Fault{}
}

// chart gives the finished nodes: those that lead to others first, with what is to go.
func (f *flow) chart() FlowChart {
	out := FlowChart{Job: f.r.Job}
	if len(f.nodes) == 0 {
		return out
	}
	g := multi.NewDirectedGraph()
	for _, i := range f.reached() {
		g.AddNode(multi.Node(i))
	}
	for _, i := range f.reached() {
		for _, b := range f.nodes[i].Branches {
			g.SetLine(g.NewLine(multi.Node(i), multi.Node(b.Node)))
		}
	}
	sorted, err := topo.SortStabilized(g, nil)
	if err != nil {
		panic("a flow chart with a circle: " + err.Error()) // each branch leads to a situation of one reading more
	}
	number := make([]int, len(f.nodes))
	for at, n := range sorted {
		number[n.ID()] = at
	}
	shares := make([]float64, len(f.nodes))
	shares[sorted[0].ID()] = 1
	for _, n := range sorted {
		for _, b := range f.nodes[n.ID()].Branches {
			shares[b.Node] += shares[n.ID()] * b.Share
		}
	}
	out.Nodes = make([]FlowNode, len(sorted))
	for at := len(sorted) - 1; at >= 0; at-- {
		n := f.nodes[sorted[at].ID()].FlowNode
		n.ToGo, n.Share = n.Minutes, shares[sorted[at].ID()]
		n.Branches = append([]Branch(nil), n.Branches...)
		for i := range n.Branches {
			b := &n.Branches[i]
			b.Node = number[b.Node]
			n.ToGo += b.Share * out.Nodes[b.Node].ToGo
		}
		n.Way = append([]FlowStep(nil), n.Way...)
		for i := range n.Way {
			n.Way[i].Node = number[n.Way[i].Node]
		}
		out.Nodes[at] = n
	}
	return out
}

// inOrder puts the places of a repair into the order in which they are tried (hypothesis.RepairOrder).
func (f *flow) inOrder(places []rank.PlaceOdds) []rank.PlaceOdds {
	var odds, minutes []float64
	for _, p := range places {
		odds = append(odds, p.Probability)
		minutes = append(minutes, hypothesis.RepairMinutes(f.r.Job.Circuit, p.Leading))
	}
	order, _ := hypothesis.RepairOrder(odds, minutes)
	var out []rank.PlaceOdds
	for _, i := range order {
		out = append(out, places[i])
	}
	return out
}
