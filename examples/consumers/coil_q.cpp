// coil_q TURNS DIAMETER PITCH WIRE FREQUENCY...: inductance, resistance and Q of a coil of copper wire in air. CSV, SI
// units. The diameter is that of a turn between wire centres.
//
//   coil_q 40 40mm 2mm 1mm 3.6MHz 7.1MHz 14.2MHz
#include <cstdio>
#include <exception>

#include <stile/coil/analysis.hpp>

int main(int argc, char** argv) {
  using namespace stile;
  if (argc < 6) {
    std::fprintf(stderr,
                 "usage: coil_q TURNS DIAMETER PITCH WIRE FREQUENCY..., as in coil_q 40 40mm 2mm 1mm 3.6MHz 7.1MHz\n");
    return 2;
  }
  try {
    const coil::Winding winding = coil::plain_winding(
        read_quantity(argv[1], Unit::one, {"TURNS"}), read_quantity(argv[2], Unit::metre, {"DIAMETER"}),
        read_quantity(argv[3], Unit::metre, {"PITCH"}), read_quantity(argv[4], Unit::metre, {"WIRE"}));
    const coil::CoilModel model = coil::coil_model(winding);
    std::printf("frequency_hz,inductance_h,resistance_ohm,q,apparent_q,self_resonance_hz\n");
    for (int n = 5; n < argc; ++n) {
      const double frequency_hz = read_quantity(argv[n], Unit::hertz, {"FREQUENCY"});
      const coil::CoilPoint point = coil::analyse(model, coil::solve_turns(model, frequency_hz), coil::whole(winding));
      std::printf("%.10g,%.10g,%.10g,%.10g,%.10g,%.10g\n", point.frequency_hz, point.inductance_h, point.resistance_ohm,
                  point.q, point.apparent_q, point.self_resonance_hz);
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "coil_q: %s\n", error.what());
    return 2;
  }
  return 0;
}
