package city

import (
	"math/rand/v2"
	"strconv"
)

// The two streets at whose corner the hand-made tree stands.
const (
	weir    = "Weir Street"
	foundry = "Foundry Avenue"
)

// Words of which street names are made: water, stone, crops, birds, tools.
var nameWords = []string{
	"Alder", "Anvil", "Apple", "Ash", "Aspen", "Auger", "Barley", "Barrel", "Basin", "Beacon", "Bellows", "Birch", "Bittern",
	"Bluff", "Bobbin", "Boulder", "Bramble", "Brick", "Bridle", "Brook", "Buckwheat", "Bulrush", "Canal", "Cask", "Cedar",
	"Chalk", "Cherry", "Chisel", "Cider", "Clay", "Clover", "Cobble", "Comet", "Copper", "Cordage", "Cove", "Cress", "Curlew",
	"Cypress", "Dairy", "Delta", "Dory", "Dune", "Eddy", "Elder", "Ember", "Estuary", "Falcon", "Fallow", "Fathom", "Fern",
	"Ferry", "Finch", "Flax", "Flint", "Ford", "Forge", "Fountain", "Foxglove", "Furrow", "Gable", "Garnet", "Ginger",
	"Glade", "Granary", "Granite", "Gravel", "Gull", "Hammer", "Harbor", "Harrow", "Harvest", "Hawthorn", "Hazel", "Heather",
	"Hemlock", "Heron", "Hickory", "Hilltop", "Hopper", "Indigo", "Iris", "Island", "Ivy", "Jasper", "Juniper", "Kestrel",
	"Kettle", "Kiln", "Lantern", "Larch", "Larkspur", "Laurel", "Ledge", "Lever", "Lichen", "Limestone", "Linden", "Locust",
	"Loom", "Lower", "Lupine", "Magnet", "Mallet", "Mallow", "Maple", "Marble", "Market", "Marsh", "Meadow", "Mill", "Millet",
	"Millrace", "Mint", "Moraine", "Mulberry", "Nettle", "Nutmeg", "Oak", "Oar", "Oatfield", "Orchard", "Osier", "Osprey",
	"Otter", "Oxbow", "Paddle", "Pear", "Pebble", "Pier", "Pine", "Plover", "Plum", "Pond", "Poplar", "Poppy", "Prairie",
	"Prism", "Pulley", "Quarry", "Quartz", "Quay", "Quince", "Raven", "Reed", "Ridge", "Rivet", "Ropewalk", "Rowan", "Rudder",
	"Rye", "Saddle", "Sandstone", "Sawmill", "Schooner", "Sedge", "Shale", "Shepherd", "Shingle", "Shuttle", "Sickle",
	"Slate", "Sluice", "Sorrel", "Spindle", "Spire", "Spring", "Spruce", "Stable", "Starling", "Summit", "Swallow",
	"Sycamore", "Tallow", "Tamarack", "Teal", "Terrace", "Thistle", "Thrush", "Timber", "Towpath", "Tulip", "Turbine",
	"Turnstile", "Upland", "Valley", "Vine", "Violet", "Wagon", "Walnut", "Warehouse", "Waterworks", "Wheat", "Wheel",
	"Wicker", "Willow", "Windmill", "Wren", "Yarrow",
}

var nameFronts = []string{"", "North ", "South ", "East ", "West ", "Old ", "Upper ", "Long ", "High ", "Little "}

func (n *network) street(r *rand.Rand) string { return n.fresh(r, "Street", "Road", "Lane") }
func (n *network) avenue(r *rand.Rand) string { return n.fresh(r, "Avenue", "Boulevard", "Parkway") }
func (n *network) court(r *rand.Rand) string  { return n.fresh(r, "Court", "Close", "Place") }

// fresh draws a name that no other street has. When the words run short it
// takes a front word, then a number.
func (n *network) fresh(r *rand.Rand, first string, others ...string) string {
	for try := 0; ; try++ {
		kind := first
		if try > 3 && try%2 == 1 {
			kind = others[r.IntN(len(others))]
		}
		front := nameFronts[r.IntN(1+min(try/6, len(nameFronts)-1))]
		name := front + nameWords[r.IntN(len(nameWords))] + " " + kind
		if try > 200 {
			name += " " + strconv.Itoa(try)
		}
		if !n.named[name] {
			n.named[name] = true
			return name
		}
	}
}
