// network FREQUENCY LOAD: a shunt capacitor and a series coil in front of a load, evaluated: what the transmitter sees,
// what is lost, and where each watt goes. CSV, SI units.
//
//   network 3.6MHz 8-900j
#include <cstdio>
#include <exception>

#include <stile/network/ladder.hpp>

int main(int argc, char** argv) {
  using namespace stile;
  if (argc != 3) {
    std::fprintf(stderr, "usage: network FREQUENCY LOAD, as in network 3.6MHz 8-900j\n");
    return 2;
  }
  try {
    const double frequency_hz = read_quantity(argv[1], Unit::hertz, {"FREQUENCY"});
    const cdouble z_load_ohm = read_impedance(argv[2], {"LOAD"});
    const network::Source transmitter{50.0, 5.0};
    network::Ladder ladder;
    ladder.elements.push_back({"C1", network::Place::shunt, network::Capacitor{2026e-12, {.q = 1000.0}}});
    ladder.elements.push_back({"L1", network::Place::series, network::Inductor{40.6e-6, {.q = 250.0}}});
    const network::Evaluation e = network::evaluate(ladder, transmitter, frequency_hz, z_load_ohm);
    std::printf("what,value\ninput_r_ohm,%.10g\ninput_x_ohm,%.10g\nswr,%.10g\n", e.z_input_ohm.real(),
                e.z_input_ohm.imag(), e.swr);
    std::printf("dissipation_db,%.10g\ntransducer_db,%.10g\n", e.loss.dissipation_db, e.loss.transducer_db);
    for (std::size_t n = 0; n < e.elements.size(); ++n)
      std::printf("%s_w,%.10g\n", ladder.elements[n].label.c_str(), e.elements[n].dissipation_w);
    std::printf("load_w,%.10g\n", e.power.delivered_w);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "network: %s\n", error.what());
    return 2;
  }
  return 0;
}
