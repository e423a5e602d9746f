package scheduler

// Layers returns every importable layer, in the order in which a new city
// loads them: what others point at comes first.
func Layers() []Layer {
	return []Layer{
		districtLayer(), sectionLayer(), streetLayer(), walkLayer(), wireLayer(), signLayer(),
		depotLayer(), dumpLayer(), crewLayer(), treeLayer(), historyLayer(),
	}
}

// LayerNamed finds a layer by the name used on the command line.
func LayerNamed(name string) (Layer, bool) {
	for _, l := range Layers() {
		if l.Name == name {
			return l, true
		}
	}
	return Layer{}, false
}

func refField(help string) Field {
	return Field{Name: "ref", Kind: FieldText, Required: true, Help: help}
}

func districtLayer() Layer {
	return Layer{"districts", GeometryArea, []Field{
		refField("key of the district"),
		{Name: "name", Kind: FieldText, Required: true},
	}}
}

func sectionLayer() Layer {
	return Layer{"sections", GeometryArea, []Field{
		refField("key of the section, a group of block faces worked in one year"),
		{Name: "name", Kind: FieldText},
		{Name: "cycle_year", Kind: FieldInt, Min: 1, Max: 20, Help: "year of the section calendar in which it is open"},
	}}
}

func streetLayer() Layer {
	return Layer{"streets", GeometryLine, []Field{
		refField("key of the block: one street between two junctions"),
		{Name: "name", Kind: FieldText},
		{Name: "class", Kind: FieldEnum, Required: true, Enum: []string{"arterial", "collector", "residential", "alley"}},
		{Name: "one_way", Kind: FieldEnum, Enum: []string{"no", "forward", "backward"}, Default: "no"},
		{Name: "speed_kmh", Kind: FieldInt, Min: 5, Max: 130, Unit: "km/h"},
		{Name: "width_mm", Kind: FieldLength, Unit: "m", Min: 2000, Max: 60000, Help: "curb to curb"},
		{Name: "lanes", Kind: FieldInt, Min: 1, Max: 12},
		{Name: "parking", Kind: FieldEnum, Enum: []string{"none", "left", "right", "both"}, Default: "none"},
		{Name: "bus_route", Kind: FieldBool, Default: false},
		{Name: "truck_route", Kind: FieldBool, Default: false},
		{Name: "bridge", Kind: FieldBool, Default: false},
		{Name: "max_height_mm", Kind: FieldLength, Unit: "m", Min: 1500, Max: 10000},
		{Name: "max_weight_kg", Kind: FieldInt, Min: 500, Max: 80000, Unit: "kg"},
	}}
}

func walkLayer() Layer {
	return Layer{"walks", GeometryLine, []Field{
		refField("key of the walk"),
		{Name: "width_mm", Kind: FieldLength, Unit: "m", Min: 500, Max: 20000},
	}}
}

func wireLayer() Layer {
	return Layer{"wires", GeometryLine, []Field{
		refField("key of the span"),
		{Name: "class", Kind: FieldEnum, Required: true, Enum: []string{"communication", "service", "secondary", "primary", "transmission", "unknown"}},
		{Name: "volts", Kind: FieldInt, Min: 0, Max: 1200000, Unit: "V", Help: "to ground"},
		{Name: "height_mm", Kind: FieldLength, Unit: "m", Min: 2000, Max: 80000, Help: "lowest conductor above ground"},
	}}
}

func signLayer() Layer {
	return Layer{"signs", GeometryPoint, []Field{
		refField("key of the sign, signal or light"),
		{Name: "kind", Kind: FieldEnum, Required: true, Enum: []string{"stop", "sign", "signal", "light"}},
		{Name: "height_mm", Kind: FieldLength, Unit: "m", Min: 1000, Max: 20000},
	}}
}

func depotLayer() Layer {
	return Layer{"depots", GeometryPoint, []Field{
		refField("key of the depot"),
		{Name: "name", Kind: FieldText, Required: true},
	}}
}

func dumpLayer() Layer {
	return Layer{"dumps", GeometryPoint, []Field{
		refField("key of the dump site"),
		{Name: "name", Kind: FieldText, Required: true},
		{Name: "minutes", Kind: FieldInt, Min: 1, Max: 240, Default: int64(20), Unit: "min"},
		{Name: "sanitation", Kind: FieldText, Help: "flags of the wood that goes here alone, such as elm_wood; several parted by blanks; empty for ordinary chips"},
	}}
}

func crewLayer() Layer {
	return Layer{"crews", GeometryNone, []Field{
		refField("key of the crew"),
		{Name: "name", Kind: FieldText, Required: true},
		{Name: "depot_ref", Kind: FieldText, Required: true},
		{Name: "people", Kind: FieldInt, Required: true, Min: 1, Max: 12},
		{Name: "skills", Kind: FieldText, Default: "ground", Help: "ground, lift, line_clearance; several parted by blanks"},
		{Name: "truck_chips_l", Kind: FieldInt, Min: 0, Max: 60000, Default: int64(12000), Unit: "l"},
		{Name: "truck_height_mm", Kind: FieldLength, Unit: "m", Min: 1500, Max: 4500, Help: "when empty the truck meets every posted limit"},
		{Name: "truck_weight_kg", Kind: FieldInt, Min: 500, Max: 40000, Unit: "kg", Help: "loaded; when empty the truck meets every posted limit"},
		{Name: "shift_start", Kind: FieldInt, Min: 0, Max: 1439, Default: int64(420), Unit: "min after midnight"},
		{Name: "shift_minutes", Kind: FieldInt, Min: 60, Max: 900, Default: int64(480), Unit: "min"},
		{Name: "yard_minutes", Kind: FieldInt, Min: 0, Max: 240, Default: int64(45), Unit: "min"},
		{Name: "break_minutes", Kind: FieldInt, Min: 0, Max: 120, Default: int64(30), Unit: "min"},
		{Name: "weekdays", Kind: FieldInt, Min: 1, Max: 127, Default: int64(31), Help: "bit 0 Monday to bit 6 Sunday"},
		{Name: "equipment", Kind: FieldText},
		{Name: "tickets", Kind: FieldText, Help: "name=YYYY-MM-DD, several parted by semicolons"},
	}}
}

func treeLayer() Layer {
	return Layer{"trees", GeometryPoint, []Field{
		refField("the city's tag or inventory number"),
		{Name: "species", Kind: FieldText, Help: "code, scientific or common name; empty only on a vacant site"},
		{Name: "state", Kind: FieldEnum, Enum: []string{"alive", "dead", "stump", "removed", "vacant"}, Default: "alive"},
		{Name: "owner", Kind: FieldEnum, Enum: []string{"city", "private", "shared", "utility", "state_road"}, Default: "city"},
		{Name: "address", Kind: FieldText},
		{Name: "planted", Kind: FieldDate, Help: "day, month, season or year"},
		{Name: "planted_precision", Kind: FieldEnum, Enum: []string{"day", "month", "season", "year", "none"}},
		{Name: "caliper_mm", Kind: FieldLength, Unit: "mm", Min: 5, Max: 300},
		{Name: "dbh_mm", Kind: FieldLength, Unit: "cm", Min: 0, Max: 4000},
		{Name: "height_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 60000},
		{Name: "crown_spread_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 45000},
		{Name: "measured_on", Kind: FieldDate},
		{Name: "base_road_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 30000, Help: "lowest foliage on the road side"},
		{Name: "base_walk_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 30000, Help: "lowest foliage on the walk side"},
		{Name: "stems", Kind: FieldInt, Min: 1, Max: 30, Default: int64(1)},
		{Name: "stage", Kind: FieldEnum, Enum: []string{"not_assessed", "establishing", "leader", "temporaries", "raising", "rotation"}, Default: "not_assessed"},
		{Name: "vigour", Kind: FieldEnum, Enum: []string{"good", "fair", "poor"}, Default: "good"},
	}}
}

func historyLayer() Layer {
	return Layer{"history", GeometryNone, []Field{
		refField("key of the past visit"),
		{Name: "tree_ref", Kind: FieldText, Required: true},
		{Name: "done_on", Kind: FieldDate, Required: true},
		{Name: "kind", Kind: FieldEnum, Required: true, Enum: []string{
			"training", "road_clearance", "walk_clearance", "sight_clearance", "rotation_prune", "restoration", "make_safe",
			"basal_sprouts", "inspection", "establishment", "first_look", "watering",
		}},
		{Name: "stage", Kind: FieldEnum, Enum: []string{"establishing", "leader", "temporaries", "raising", "rotation"}, Help: "stage reached by the visit"},
		{Name: "live_crown_pct", Kind: FieldInt, Min: 0, Max: 100, Unit: "%"},
		{Name: "minutes", Kind: FieldInt, Min: 0, Max: 1440, Unit: "min"},
		{Name: "base_road_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 30000},
		{Name: "base_walk_mm", Kind: FieldLength, Unit: "m", Min: 0, Max: 30000},
		{Name: "dbh_mm", Kind: FieldLength, Unit: "cm", Min: 0, Max: 4000},
		{Name: "by_whom", Kind: FieldText},
		{Name: "note", Kind: FieldText},
	}}
}
