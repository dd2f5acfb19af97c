// A program against the installed library: a 3 m whip at 7.1 MHz through a base coil and a shunt capacitor, and where
// each watt goes. The load is the computed one of examples/loads, wire on heather; the parts are invented.
#include <cstdio>

#include <stile/match/match.hpp>
#include <stile/network/ladder.hpp>

int main() {
  using namespace stile;
  const double frequency_hz = read_quantity("7.1 MHz", Unit::hertz);
  const network::Source transmitter{50.0, 5.0};

  match::MatchRequest request;
  request.form = match::Form::l;
  request.frequency_hz = frequency_hz;
  request.source = transmitter;
  request.load = {"whip on heather", "computed", load::ConstantLoad{read_impedance("26.34-974.6j")}, {}};
  request.stock.inductor_loss.q = 250.0;
  request.stock.capacitor_loss.q = 1000.0;
  const auto solutions = match::solve_match(request);
  if (solutions.empty()) return 1;

  const match::MatchSolution& best = solutions.front();
  std::printf("%s\n", match::describe(best.ladder).c_str());
  std::printf("input %s ohm, SWR %.3f\n", print_impedance(best.evaluation.z_input_ohm).c_str(), best.evaluation.swr);
  for (std::size_t n = 0; n < best.ladder.elements.size(); ++n) {
    const network::Stress& stress = best.evaluation.elements[n];
    std::printf("%s: %.3f A rms, %.0f V peak, %.2f W\n", best.ladder.elements[n].label.c_str(), stress.current_a_rms,
                stress.voltage_v_peak, stress.dissipation_w);
  }
  const double spent = best.evaluation.elements[0].dissipation_w + best.evaluation.elements[1].dissipation_w +
                       best.evaluation.power.delivered_w;
  return best.evaluation.swr < 1.001 && spent > 4.999 && spent < 5.001 ? 0 : 1;
}
