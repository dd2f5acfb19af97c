// tuner_range TUNER.toml FREQUENCY LOAD...: what a tuner's best state does with each load. CSV, SI units.
//
//   tuner_range tuner.toml 7.1MHz 50 14-1058j 38-843j
#include <cstdio>
#include <exception>
#include <fstream>
#include <iterator>
#include <string>

#include <stile/station/station.hpp>
#include <stile/tuner/survey.hpp>

int main(int argc, char** argv) {
  using namespace stile;
  if (argc < 4) {
    std::fprintf(stderr,
                 "usage: tuner_range TUNER.toml FREQUENCY LOAD..., as in tuner_range tuner.toml 7.1MHz 14-1058j\n");
    return 2;
  }
  try {
    std::ifstream file(argv[1]);
    if (!file) throw ParseError({argv[1]}, "cannot be read");
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    tuner::RangeQuestion question;
    question.tuner = station::read_tuner(text, argv[1]);
    question.source = {50.0, 5.0};
    question.swr_limit = 2.0;
    question.bands = {tuner::one_frequency(read_quantity(argv[2], Unit::hertz, {"FREQUENCY"}))};
    for (int n = 3; n < argc; ++n)
      question.loads.push_back(
          {argv[n], {argv[n], "stated", load::ConstantLoad{read_impedance(argv[n], {"LOAD"})}, {}}});

    std::printf("load_r_ohm,load_x_ohm,frequency_hz,matched,swr,transducer_db,inductance_h,capacitance_f\n");
    for (const tuner::LoadAnswer& answer : tuner::survey_range(question).loads) {
      const tuner::TunerSetting& best = answer.most_delivered.setting;
      std::printf("%.10g,%.10g,%.10g,%s,%.10g,%.10g,%.10g,%.10g\n", answer.z_ohm.real(), answer.z_ohm.imag(),
                  answer.frequency_hz, best.swr <= question.swr_limit ? "yes" : "no", best.swr,
                  answer.most_delivered.transducer_db, best.state.inductance_h, best.state.capacitance_f);
    }
  } catch (const std::exception& error) {
    std::fprintf(stderr, "tuner_range: %s\n", error.what());
    return 2;
  }
  return 0;
}
