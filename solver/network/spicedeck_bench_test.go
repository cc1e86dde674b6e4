package network_test

// benchCircuit holds the parts that no circuit of the library has: current loops, diodes, a platinum thermometer, a
// resistor, high-side drivers, LIN, modules with two power pins and with neither power nor ground pins, a socket.
const benchCircuit = `
format = 1
title = "Bench of parts"
[battery]
volts = 25.2
running_volts = 27.6
source_ohms = 0.02
[module.PLC]
supply_ohms = 200
pins.1  = { kind = "power" }
pins.2  = { kind = "power" }
pins.3  = { kind = "ground" }
pins.A1 = { kind = "reference", volts = 8.0, limit_ma = 30, source_ohms = 0.5 }
pins.A2 = { kind = "input", pull_down_ohms = 250, range_volts = [0, 10], bits = 12 }
pins.A3 = { kind = "return", offset_volts = 0.5, ohms = 1 }
pins.A4 = { kind = "high_side" }
pins.A5 = { kind = "low_side" }
pins.A6 = { kind = "lin", commander = true }
pins.A7 = { kind = "input", pull_up_ohms = "1k", pull_up_volts = 10, range_volts = [0, 10] }
pins.A8 = { kind = "input", pull_up_ohms = "10k", pull_up_volts = 8 , range_volts = [1, 7], bits = 8 }
[module.RMT]
pins.1 = { kind = "lin" }
pins.2 = { kind = "high_side", on = true, on_ohms = 0.1 }
pins.3 = { kind = "input", pull_up_ohms = "4k7" }
pins.4 = { kind = "low_side", on = true }
[device.LT]
kind = "current_loop"
terminals = { supply = "1", return = "2" }
min_volts = 9
[device.FD]
kind = "diode"
terminals = { anode = "1", cathode = "2" }
[device.FW]
kind = "diode"
terminals = { anode = "1", cathode = "2" }
forward_volts = 0.9
[device.YV]
kind = "load"
terminals = { a = "1", b = "2" }
ohms = 26
[device.PT]
kind = "rtd"
terminals = { a = "1", b = "2" }
[device.RS]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = "2k2"
[device.PX]
kind = "switching"
terminals = { supply = "1", output = "2", return = "3" }
[device.LS]
kind = "switch"
terminals = { a = "1", b = "2" }
[device.HT]
kind = "load"
terminals = { a = "1", b = "2" }
ohms = 47
[device.F1]
kind = "fuse"
terminals = { a = "1", b = "2" }
amps = 5
[connector.X1]
sides = ["panel", "field"]
[connector.X9]
[ground.G1]
[ground.G2]
[[run]]
path = ["B+", "F1:1"]
size_mm2 = 2.5
[[run]]
path = ["F1:2", "S1"]
awg = 14
length_m = 2
[[run]]
path = ["S1", "PLC:1"]
[[run]]
path = ["S1", "PLC:2"]
[[run]]
path = ["PLC:3", "G1"]
[[run]]
path = ["S1", "X1:1", "LT:1"]
length_m = [3, 12]
[[run]]
path = ["PLC:A2", "X1:2", "LT:2"]
length_m = [3, 12]
[[run]]
path = ["PLC:A4", "X1:3", "FD:1"]
[[run]]
path = ["FD:2", "S2"]
[[run]]
path = ["S2", "YV:1"]
[[run]]
path = ["S2", "FW:2"]
[[run]]
path = ["YV:2", "S3"]
[[run]]
path = ["FW:1", "S3"]
[[run]]
path = ["G2", "X1:4", "S3"]
[[run]]
path = ["PLC:A7", "X1:5", "PT:1"]
[[run]]
path = ["PLC:A3", "X1:6", "S4"]
[[run]]
path = ["S4", "PT:2"]
[[run]]
path = ["S4", "PX:3"]
[[run]]
path = ["PLC:A1", "X1:7", "PX:1"]
[[run]]
path = ["PLC:A8", "X1:8", "PX:2"]
[[run]]
path = ["PLC:A5", "RS:1"]
[[run]]
path = ["RS:2", "S1"]
[[run]]
path = ["PLC:A6", "S5"]
[[run]]
path = ["S5", "RMT:1"]
[[run]]
path = ["S5", "X9:1"]
[[run]]
path = ["RMT:3", "LS:1"]
[[run]]
path = ["LS:2", "G1"]
[[run]]
path = ["RMT:2", "HT:1"]
[[run]]
path = ["HT:2", "RMT:4"]
`

// loopCircuit has two transmitters on one receiver, which together drive it into their least voltage, a feed through a
// diode, and a sensor on a long thin reference that falls out by its own load.
const loopCircuit = `
format = 1
title = "Two loops on one receiver, a weak reference"
[battery]
source_ohms = 0.1
[module.LOG]
pins.A1 = { kind = "input", pull_down_ohms = 300, range_volts = [0, 12], bits = 16 }
pins.A2 = { kind = "reference", volts = 5, limit_ma = 8, source_ohms = 10 }
pins.A3 = { kind = "input", pull_up_ohms = "22k", pull_up_volts = 3.3 }
pins.A4 = { kind = "return", ohms = 5 }
pins.B1 = { kind = "power" }
pins.B2 = { kind = "ground" }
[device.T1]
kind = "current_loop"
terminals = { supply = "1", return = "2" }
set = 12
[device.T2]
kind = "current_loop"
terminals = { supply = "1", return = "2" }
[device.PS]
kind = "ratiometric"
terminals = { supply = "1", output = "2", return = "3" }
supply_ohms = 900
[device.BR]
kind = "diode"
terminals = { anode = "1", cathode = "2" }
[device.RL]
kind = "load"
terminals = { a = "1", b = "2" }
ohms = 90
[connector.J1]
[ground.G1]
[[run]]
path = ["B+", "BR:1"]
[[run]]
path = ["BR:2", "S1"]
[[run]]
path = ["S1", "LOG:B1"]
[[run]]
path = ["S1", "RL:1"]
[[run]]
path = ["RL:2", "B-"]
[[run]]
path = ["LOG:B2", "G1"]
[[run]]
path = ["S1", "J1:1", "T1:1"]
[[run]]
path = ["S1", "T2:1"]
[[run]]
path = ["LOG:A1", "J1:2", "S2"]
[[run]]
path = ["S2", "T1:2"]
[[run]]
path = ["S2", "T2:2"]
[[run]]
path = ["LOG:A2", "J1:3", "PS:1"]
awg = 22
length_m = 400
[[run]]
path = ["LOG:A3", "J1:4", "PS:2"]
[[run]]
path = ["LOG:A4", "J1:5", "PS:3"]
`
