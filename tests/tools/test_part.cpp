// Parts as they are written on a command line.

#include <cmath>

#include <catch2/catch.hpp>

#include "cli/part.hpp"

using namespace stile;
using namespace stile::tools;

namespace {

network::Element series(const char* text) { return read_part(text, network::Place::series, "--series"); }

/// The message that refuses a text.
std::string refusal(const auto& read) {
  try {
    read();
  } catch (const ParseError& error) {
    return error.what();
  }
  return "accepted";
}

}  // namespace

TEST_CASE("a coil takes all its keys in any order") {
  const network::Element element =
      series("L=1.2uH,label=loading coil,SRF=25MHz,ESR=0.1ohm,Q_at=7MHz,Q=200,P=2W,V=500V,I=1A");
  const auto& coil = std::get<network::Inductor>(element.part);
  CHECK(coil.inductance_h == 1.2e-6);
  CHECK(coil.loss.q == 200.0);
  CHECK(coil.loss.q_at_hz == 7e6);
  CHECK(coil.loss.series_ohm == 0.1);
  const double w = 2.0 * std::acos(-1.0) * 25e6;
  CHECK(std::abs(coil.self_capacitance_f * w * w * 1.2e-6 - 1.0) <= 1e-14);
  CHECK(element.label == "loading coil");
  CHECK(element.place == network::Place::series);
  CHECK(element.rating.voltage_v_peak == 500.0);
  CHECK(element.rating.current_a_rms == 1.0);
  CHECK(element.rating.dissipation_w == 2.0);
}

TEST_CASE("a part without further keys has no loss and no rating") {
  const network::Element element = series("C=300pF");
  const auto& capacitor = std::get<network::Capacitor>(element.part);
  CHECK(capacitor.capacitance_f == 300e-12);
  CHECK(capacitor.loss.q == network::infinite);
  CHECK(capacitor.loss.loss_tangent == 0.0);
  CHECK(element.rating.voltage_v_peak == network::infinite);
}

TEST_CASE("resistors impedances and transformers are read") {
  CHECK(std::get<network::Resistor>(series("R=50").part).resistance_ohm == 50.0);
  CHECK(std::get<network::Resistor>(series("R=0").part).resistance_ohm == 0.0);
  CHECK(std::get<network::FixedImpedance>(series("Z=12-230j,V=1kV").part).z_ohm == cdouble(12.0, -230.0));
  CHECK(std::get<network::Transformer>(read_transformer("7:1", "--transformer").part).turns_ratio == 7.0);
  CHECK(std::get<network::Transformer>(read_transformer("1:4,label=T", "--transformer").part).turns_ratio == 0.25);
}

TEST_CASE("a line is a known cable or figures of a data sheet") {
  const network::Element known = read_line("RG-58,2m", "--line");
  CHECK(std::get<network::TransmissionLine>(known.part).length_m == 2.0);
  CHECK(std::get<network::Cable>(std::get<network::TransmissionLine>(known.part).per_metre).name == "RG-58");
  CHECK(known.place == network::Place::cascade);

  const network::Element own = read_line("Z0=75,VF=0.8,length=10ft,dB=4.56dB,per=100ft,at=30MHz", "--line");
  const auto& line = std::get<network::TransmissionLine>(own.part);
  CHECK(std::abs(line.length_m - 3.048) <= 1e-15);
  const auto& cable = std::get<network::Cable>(line.per_metre);
  CHECK(cable.z0_ohm == 75.0);
  CHECK(std::abs(network::attenuation_db_per_m(cable, 30e6) - 4.56 / 30.48) <= 1e-15);

  const auto lossless = std::get<network::Cable>(
      std::get<network::TransmissionLine>(read_line("Z0=50,VF=0.66,length=2m", "--line").part).per_metre);
  CHECK(network::attenuation_db_per_m(lossless, 30e6) == 0.0);
}

TEST_CASE("what cannot be read is refused with its column and what would be legal") {
  const auto part = [](const char* text) { return refusal([&] { series(text); }); };
  CHECK(part("L=1.2uH,q=200") ==
        "--series: column 9: unknown key \"q\"; legal: L= Q= Q_at= ESR= SRF= Cself= V= I= P= label=");
  CHECK(part("C=300pF,SRF=7MHz") ==
        "--series: column 9: unknown key \"SRF\"; legal: C= Q= Q_at= tan= ESR= V= I= P= label=");
  CHECK(part("L=1.2uH,Q=-200") == "--series: column 11: \"-200\": Q must be > 0");
  CHECK(part("L=1.2uH,Q=0") == "--series: column 11: \"0\": Q must be > 0");
  CHECK(part("L=1.2uH,ESR=-1") == "--series: column 13: \"-1\": ESR must be >= 0");
  CHECK(part("L=1.2uH,Q=nan").find("--series: column 11: \"nan\": not a finite number") == 0);
  CHECK(part("L=1.2pF").find("--series: column 6: ") == 0);
  CHECK(part("C=0") == "--series: column 3: \"0\": C must be > 0");
  CHECK(part("L=1uH,Q=1,Q=2") == "--series: column 11: Q= is given twice; legal: once");
  CHECK(part("L=1uH,Q_at=7MHz") == "--series: column 7: Q_at= needs Q= beside it");
  CHECK(part("L=1uH,SRF=7MHz,Cself=1pF") == "--series: column 16: SRF= and Cself= exclude each other");
  CHECK(part("L=1uH,200").find("--series: column 7: \"200\" has no key") == 0);
  CHECK(part("L=1uH,") == "--series: column 7: \"\" has no key; legal: L= Q= Q_at= ESR= SRF= Cself= V= I= P= label=");
  CHECK(part("Q=200,L=1uH").find("--series: column 1: \"Q=200,L=1uH\" does not start with a part") == 0);
  CHECK(part("").find("--series: column 1: \"\" does not start with a part") == 0);
  CHECK(part("Z=-1+2j").find("--series: column 3: ") == 0);
  CHECK(part("R=-1") == "--series: column 3: \"-1\": R must be >= 0");
  CHECK(part("R=1,label=") == "--series: column 11: a label is empty or not printable");

  const auto line = [](const char* text) { return refusal([&] { read_line(text, "--line"); }); };
  CHECK(line("RG-9999,2m").find("--line: column 1: no cable \"RG-9999\" is known; legal: RG-174") == 0);
  CHECK(line("RG-58") == "--line: column 1: a cable needs its length behind its name: RG-58,2m");
  CHECK(line("RG-58,-2m") == "--line: column 7: \"-2m\": it must be > 0");
  CHECK(line("Z0=50,VF=0.66") ==
        "--line: column 1: a line needs Z0=, VF= and length=, or a cable's name and a length: RG-58,2m");
  CHECK(line("Z0=50,VF=1.5,length=2m") ==
        "--line: column 10: \"1.5\" is not plausible for a velocity factor; legal: 0.05 to 1");
  CHECK(line("Z0=50,VF=0.66,length=2m,dB=1") == "--line: column 25: dB= needs per= beside it");

  const auto transformer = [](const char* text) { return refusal([&] { read_transformer(text, "--transformer"); }); };
  CHECK(transformer("7") == "--transformer: column 1: \"7\" is not in the form 7:1");
  CHECK(transformer("7:0") == "--transformer: column 3: \"0\": it must be > 0");
}

TEST_CASE("a sweep has even steps and exact ends") {
  const std::vector<double> f = read_sweep("7MHz:7.2MHz:5", "--sweep");
  REQUIRE(f.size() == 5);
  CHECK(f.front() == 7e6);
  CHECK(std::abs(f[1] - 7.05e6) <= 1e-6);
  CHECK(f.back() == 7.2e6);
  const auto sweep = [](const char* text) { return refusal([&] { read_sweep(text, "--sweep"); }); };
  CHECK(sweep("7MHz:7.2MHz") ==
        "--sweep: column 1: \"7MHz:7.2MHz\" is not in the form FROM:TO:POINTS, 14MHz:14.35MHz:36");
  CHECK(sweep("7MHz:7MHz:5") == "--sweep: column 6: \"7MHz\" is not above \"7MHz\"");
  CHECK(sweep("7MHz:8MHz:1") == "--sweep: column 11: \"1\": out of range; legal: 2..100000 points");
  CHECK(sweep("7MHz:8MHz:2.5").find("--sweep: column 11: ") == 0);
  CHECK(sweep("0:8MHz:3").find("--sweep: column 1: ") == 0);
}

TEST_CASE("parts without a label are named by kind and place") {
  network::Ladder ladder{
      {series("L=1uH"), series("C=1pF,label=trimmer"), series("R=1"), read_transformer("2:1", "--transformer")}};
  name_parts(ladder);
  CHECK(ladder.elements[0].label == "L1");
  CHECK(ladder.elements[1].label == "trimmer");
  CHECK(ladder.elements[2].label == "R3");
  CHECK(ladder.elements[3].label == "T4");
}
