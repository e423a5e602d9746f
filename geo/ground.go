package geo

// Ground is the map around sites: what a site's numbers are taken from. Fill
// the lists, then call Ready once; after it the ground may be asked by several
// goroutines and must not be changed. All coordinates are metres of one plane.
type Ground struct {
	Districts, Sections []Area
	Blocks              []Block
	Walks               []Walk
	Wires               []Wire
	Signs, Lights       []Point

	blocks, walks, wires, signs, lights *near
}

// Area is a district or a section.
type Area struct {
	ID     int64
	Region Region
}

// Block is a street between two junctions.
type Block struct {
	ID             int64
	Path           Path
	Half           Length // centreline to curb
	ParkLeft       bool   // a parking lane on that side of the path's direction
	ParkRight      bool
	FaceLeft       int64 // block face on that side, 0 for none
	FaceRight      int64
	Speed          int   // km/h
	Order          int   // of the street's class, 0 for an alley: traffic waits for that of a higher one
	atStart, atEnd []leg // blocks that touch the path's start, its end
}

// Walk is a sidewalk's centreline.
type Walk struct {
	Path Path
	Half Length // centreline to edge
}

// Wire is an overhead line. Rank orders the classes: of lines on the same poles
// the one of the highest rank counts.
type Wire struct {
	ID     int64
	Path   Path
	Rank   int
	Volts  int    // to ground; 0 when not recorded
	Height Length // None when not recorded
}

// Reaches of the questions, in metres.
const (
	BlockReach = 40.0 // site to centreline
	SideReach  = 15.0 // site to walk, wire, sign and light
	meetReach  = 0.5  // end of a block to a block that it touches
)

// JunctionReach is how far along a block a junction is looked for.
const JunctionReach = 60 * Metre

// sightReach is how far along a block, in metres, a sight triangle goes: at
// 130 km/h the line of sight leaves the roadside 193 m from the junction.
const sightReach = 200.0

// GroundReach is how far from a site, in metres, a feature can lie that its
// numbers depend on: a block that touches the far end of the site's own.
const GroundReach = BlockReach + sightReach + meetReach + 0.5

// Ready indexes the ground.
func (g *Ground) Ready() {
	g.blocks, g.walks, g.wires = newNear(BlockReach), newNear(SideReach), newNear(SideReach)
	g.signs, g.lights = newNear(SideReach), newNear(SideReach)
	for i := range g.Blocks {
		g.blocks.add(int32(i), &g.Blocks[i].Path)
	}
	for i := range g.Walks {
		g.walks.add(int32(i), &g.Walks[i].Path)
	}
	for i := range g.Wires {
		g.wires.add(int32(i), &g.Wires[i].Path)
	}
	addPoints(g.signs, g.Signs)
	addPoints(g.lights, g.Lights)
	for i := range g.Blocks {
		b := &g.Blocks[i]
		b.atStart, b.atEnd = g.legs(int32(i), true), g.legs(int32(i), false)
	}
}

func addPoints(n *near, pts []Point) {
	for i, p := range pts {
		n.add(int32(i), &Path{pts: []Point{p}})
	}
}
