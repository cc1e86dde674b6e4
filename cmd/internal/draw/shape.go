package draw

// Picture is a finished drawing: shapes in the order in which they are painted, on a white page of Width × Height units
// with its origin at the top left. SVG and PNG write it out; so can anything else that draws lines and text.
type Picture struct {
	Width, Height float64
	Title         string
	Shapes        []Shape
}

// ShapeKind says which fields of a Shape count.
type ShapeKind uint8

// The kinds of shape.
const (
	Line  ShapeKind = iota // Points joined by strokes
	Area                   // Points as a closed polygon
	Disc                   // Points[0] is the centre
	Box                    // Points[0] is the top left corner, Points[1] the lower right one
	Text                   // Points[0] is on the baseline
	Group                  // begins a group that Name, About and Points say something of
	End                    // ends the innermost group
)

// XY is a place on the picture.
type XY struct{ X, Y float64 }

// Shape is one mark of the pen. An empty Stroke or Fill draws none.
type Shape struct {
	Kind   ShapeKind
	Points []XY
	Stroke string // "#rrggbb"
	Fill   string
	Width  float64   // of the stroke
	Dash   []float64 // lengths of dash and gap, nil for a solid stroke
	Offset float64   // how far into Dash the stroke begins
	Radius float64   // of a Disc, or of a Box's corners

	Text   string
	Size   float64
	Bold   bool
	Middle bool // Points[0] is the middle of the text, not its start

	Class string // of a Group: "wire", "part", "point", "suspect"
	Name  string // of a Group: the location or point, as the circuit file writes it
	About string // of a Group: a sentence for those who point at it or hear it
}
