package made

import "fmt"

// mostSensor is the number of wires that a sensor or a load adds at most, with further splices on its way and a fuse.
const mostSensor = 12

// sensors are the kinds of parts that a module is wired to.
var sensors = []func(*harness, *module){
	(*harness).pressure, (*harness).throttle, (*harness).speed, (*harness).temperature, (*harness).exhaust, (*harness).contact,
	(*harness).oxygen, (*harness).loop, (*harness).coil, (*harness).motor, (*harness).sender,
}

// device writes a part; keys follow its kind.
func (h *harness) device(prefix, kind, terminals, keys string) string {
	name := h.name(prefix)
	h.part("[device.%s]\nkind = %q\nterminals = { %s }\n%s\n", name, kind, terminals, keys)
	return name
}

// three connects a sensor with supply, signal and return.
func (h *harness) three(m *module, name, pin string) {
	h.supplied(m, name+":1")
	h.signal(m, pin, name+":2", "GN")
	h.returned(m, name+":3")
}

// two connects a sensor between an input and the shared return.
func (h *harness) two(m *module, name, pin string) {
	h.signal(m, pin, name+":1", "BU")
	h.returned(m, name+":2")
}

const (
	threeLeads = `supply = "1", output = "2", return = "3"`
	twoLeads   = `a = "1", b = "2"`
)

func (h *harness) pressure(m *module) {
	name := h.device("P", "ratiometric", threeLeads, fmt.Sprintf("supply_ohms = %d\n", h.between(500, 1500)))
	bias := `pull_down_ohms = "220k"`
	if h.rng.IntN(3) == 0 {
		bias = `pull_up_ohms = "47k"`
	}
	h.three(m, name, m.input(bias, 0.25, 4.75))
}

func (h *harness) throttle(m *module) {
	name := h.device("W", "potentiometer", `supply = "1", wiper = "2", return = "3"`, fmt.Sprintf("ohms = %d\n", h.between(2000, 10000)))
	h.three(m, name, m.input(`pull_down_ohms = "220k"`, 0.2, 4.8))
}

func (h *harness) speed(m *module) {
	name := h.device("H", "switching", threeLeads, "")
	h.three(m, name, m.pin(`{ kind = "input", pull_up_ohms = "4k7" }`))
}

func (h *harness) temperature(m *module) {
	name := h.device("N", "thermistor", twoLeads, fmt.Sprintf("ohms_25 = %d\nbeta = %d\n", h.between(2000, 12000), h.between(3300, 4000)))
	h.two(m, name, m.input(`pull_up_ohms = "2k2"`, 0.1, 4.9))
}

func (h *harness) exhaust(m *module) {
	name := h.device("E", "rtd", twoLeads, "ohms_0 = 200\n")
	h.two(m, name, m.input(`pull_up_ohms = "1k"`, 0.3, 4.5))
}

func (h *harness) contact(m *module) {
	name := h.device("K", "switch", twoLeads, "")
	h.two(m, name, m.pin(`{ kind = "input", pull_up_ohms = "1k", pull_up_volts = 12, range_volts = [0, 16] }`))
}

func (h *harness) oxygen(m *module) {
	name := h.device("O", "zirconia", `signal = "1", return = "2"`, "")
	h.two(m, name, m.pin(`{ kind = "input", pull_down_ohms = "1M", input_ohms = "10M", range_volts = [0, 1.5] }`))
}

// loop is a sensor that draws its current from a fused feed.
func (h *harness) loop(m *module) {
	name := h.device("Q", "current_loop", `supply = "1", return = "2"`, "")
	h.run("power", "RD/BU", 0.5, h.fused(), name+":1")
	h.signal(m, m.input(`pull_down_ohms = 250, range_volts = [0, 6]`, 0.9, 5.25), name+":2", "VT")
}

// coil is a relay's coil that the module grounds, with a diode across it.
func (h *harness) coil(m *module) {
	name := h.device("Y", "load", twoLeads, fmt.Sprintf("ohms = %d\n", h.between(40, 120)))
	diode := h.device("D", "diode", `anode = "1", cathode = "2"`, "")
	above, below := h.splice(), h.splice()
	h.run("power", "RD/BK", 0.75, h.fused(), above.point)
	h.run("power", "RD/BK", 0.75, above.point, name+":1")
	h.run("power", "RD/BK", 0.5, above.point, diode+":2")
	h.run("signal", "GY", 0.75, m.pin(`{ kind = "low_side" }`), h.trunkWay(m), below.point)
	h.run("signal", "GY", 0.75, below.point, name+":2")
	h.run("signal", "GY", 0.5, below.point, diode+":1")
}

// motor is a load that the module feeds.
func (h *harness) motor(m *module) {
	name := h.device("X", "load", twoLeads, fmt.Sprintf("ohms = %d\n", h.between(6, 40)))
	h.signal(m, m.pin(`{ kind = "high_side" }`), name+":1", "YE")
	h.run("ground", "BK", 1, name+":2", h.ground())
}

// sender is a resistor to ground at the machine's own body.
func (h *harness) sender(m *module) {
	name := h.device("Z", "resistor", twoLeads, fmt.Sprintf("ohms = %d\n", h.between(100, 3000)))
	h.signal(m, m.pin(`{ kind = "input", pull_up_ohms = "1k" }`), name+":1", "WH")
	h.run("ground", "BK", 0.5, name+":2", h.ground())
}
