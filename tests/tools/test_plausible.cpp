// Numeric options of stile-sweep and stile-whip: what nobody would mean is refused with what is legal.

#include <cctype>
#include <regex>
#include <set>

#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

/// An option, what is given with it, and the legal range that the message names.
struct Refusal {
  std::string option, arguments, legal;
};

/// The options of a tool that take a value, but for those whose value is a word or a file.
std::set<std::string> numeric_options(const std::string& help) {
  static const std::set<std::string> words{"FILE", "FILE.csv", "WIRES.toml", "NAME", "WHAT", "MODEL", "MODE"};
  static const std::regex option("\n  (-[-a-z0-9]+) ([A-Z][^ \n]*)");
  std::set<std::string> all;
  for (std::sregex_iterator found(help.begin(), help.end(), option), end; found != end; ++found)
    if (!words.contains((*found)[2])) all.insert((*found)[1]);
  return all;
}

void check_all(const Folder& folder, const std::string& tool, const std::string& before,
               const std::vector<Refusal>& all) {
  std::set<std::string> tried;
  for (const Refusal& each : all) {
    tried.insert(each.option);
    const Run run = folder.run(tool + " " + before + " " + each.arguments);
    INFO(each.arguments << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(programs::lines(run.err) == 1);
    const std::string legal = "legal: " + each.legal;
    const std::size_t at = run.err.find(legal);
    REQUIRE(at != std::string::npos);
    const char next = run.err[at + legal.size()];
    CHECK((std::isalnum(static_cast<unsigned char>(next)) == 0 && next != '.'));  // no longer number or unit
  }
  CHECK(tried == numeric_options(folder.run(tool + " --help").out));
}

}  // namespace

TEST_CASE("every numeric option of stile-sweep refuses an absurd value with what is legal") {
  const Folder folder;
  std::string sweep = "# MHz S RI R 50\n", bare;
  for (int n = 0; n < 21; ++n) bare += std::to_string(7000 + 10 * n) + "e-3 0.1 " + std::to_string(0.01 * n) + "\n";
  folder.write("a.s1p", sweep + bare);
  folder.write("bare.s1p", bare);
  folder.write("b.s2p", "# MHz S RI R 50\n1 0.1 0 0.5 0 0.5 0 0.1 0\n2 0.1 0 0.5 0 0.5 0 0.1 0\n");
  folder.write("w.toml", "");
  const std::string standards = "a.s1p --open a.s1p --short a.s1p --match a.s1p ", wires = "a.s1p --calibrate w.toml ";
  check_all(folder, "stile-sweep", "",
            {{"--option-line", "bare.s1p --option-line 'MHz S RI R 50000000'", "1 ohm to 10 kohm"},
             {"--reference", "a.s1p --reference 5mohm", "1 ohm to 10 kohm; was a unit meant, such as \"5 ohm\"?"},
             {"--reference-error", "a.s1p --above-one scale --reference-error 60%", "0..50%"},
             {"--error", "a.s1p --error 5", "0 to 0.5"},
             {"--band", "a.s1p --band 7:7.2MHz", "100 Hz to 10 GHz; was a unit meant, such as \"7 MHz\"?"},
             {"--band", "a.s1p --band 7MHz:7.2e15", "100 Hz to 10 GHz"},
             {"--match-ohm", standards + "--match-ohm 1e9", "1 ohm to 10 kohm"},
             {"--open-capacitance", standards + "--open-capacitance 1", "0, or 0.1 fF to 100 pF; was a unit meant"},
             {"--open-capacitance", standards + "--open-capacitance -1pF", "0, or 0.1 fF to 100 pF"},
             {"--short-inductance", standards + "--short-inductance 1mH", "0, or 1 pH to 1 uH"},
             {"--line-z0", "a.s1p --estimate-line a.s1p --line-z0 5Mohm", "5 ohm to 2 kohm"},
             {"--line-vf", "a.s1p --estimate-line a.s1p --line-vf 66", "0.05 to 1"},
             {"--remove", "a.s1p --remove RG-58,3000km", "100 um to 10 km"},
             {"--remove-series", "a.s1p --remove-series L=5H", "100 pH to 10 mH; was a unit meant, such as \"5 uH\"?"},
             {"--remove-shunt", "a.s1p --remove-shunt C=1", "10 fF to 10 uF; was a unit meant, such as \"1 pF\"?"},
             {"--remove-transformer", "a.s1p --remove-transformer 1:1e9", "0.01 to 2000"},
             {"--extend", "a.s1p --extend 5", "-1 us to 1 us; was a unit meant, such as \"5 ns\"?"},
             {"--coil", "a.s1p a.s1p --coil 1e9,22uH", "0.01 to 2000"},
             {"--coil", "a.s1p a.s1p --coil 20,22", "100 pH to 10 mH; was a unit meant, such as \"22 uH\"?"},
             {"--coil-winding", "a.s1p a.s1p --coil-winding 40,50,1.5mm,1mm,22", "300 um to 1 m"},
             {"--hold-back", wires + "--hold-back 7:8", "100 Hz to 10 GHz"},
             {"--points", wires + "--points 1e9", "a whole number, 4..200"},
             {"--radiation", "a.s1p --radiation 7.1,9,1", "100 Hz to 10 GHz"},
             {"--radiation", "a.s1p --radiation 7.1MHz,9Mohm,1", "0.001 mohm to 10 kohm"},
             {"--coil-resonances", "--coil-resonances 21MHz,0pF,3MHz,100", "0, or 10 fF to 10 uF; was a unit meant"},
             {"--tuner-swr", "--tuner-swr 0.5,1.7", "1 to 1000"},
             {"--series-at-port2", "b.s2p --series-at-port2 -2400", "0, or 1 mohm to 1 Mohm"},
             {"--detect", "--detect 2dB,4e9", "0.01 dB to 60 dB"},
             {"--renormalise", "a.s1p --renormalise 1e12 --waves power", "1 ohm to 10 kohm"}});
  // The ends themselves serve.
  for (const char* options :
       {"a.s1p --error 0.5", "a.s1p --extend -1us", "a.s1p --band 100Hz:10GHz",
        "a.s1p --reference 50 --remove RG-58,0.1mm", "--detect 0.01dB,0.01dB", "--detect 60dB,60dB"})
    CHECK(folder.run("stile-sweep " + std::string(options)).status == 0);
}

TEST_CASE("every numeric option of stile-whip refuses an absurd value with what is legal") {
  const Folder folder;
  folder.write(
      "whip.toml",
      "ground = \"average\"\n[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.0], [0, 0, 4.0]]\nradius = \"2 mm\"\n"
      "metal = \"copper\"\n[[wire]]\nname = \"wire\"\npoints = [[0, 0, 1.0], [1.0, 0, 0.05], [6.5, 0, 0.05]]\n"
      "radius = \"1 mm\"\nmetal = \"copper\"\n[feed]\ngap = \"10 mm\"\n");
  const std::string at = "--frequency 7MHz ", exposed = at + "--exposure ";
  check_all(folder, "stile-whip", "whip.toml",
            {{"--frequency", "--frequency 7", "100kHz..300MHz"},
             {"--sweep", "--sweep 7MHz:7.2MHz:1e9", "2..100000 points"},
             {"--sweep", "--sweep 7:8:3", "100kHz..300MHz"},
             {"--ground", at + "--ground 1e6,1mS/m", "1 to 1000"},
             {"--ground", at + "--ground 15,1e6", "0, or 0.0001 mS/m to 100 S/m"},
             {"--power", at + "--power 5000kW", "1 mW to 2 kW"},
             {"--azimuth", at + "--azimuth 1e6", "-360 to 360"},
             {"--field", at + "--field 0,0,1e9", "-10 km to 10 km"},
             {"--tuning-q", at + "--tuning-q 1e9", "0.1 to 1000000"},
             {"--elevation", at + "--elevation 5:200", "FROM below TO, both within -90..90"},
             {"--reference", at + "--chart a.png --show smith --reference 5Mohm", "1 ohm to 10 kohm"},
             {"--fineness", at + "--fineness 20", "0.25..16"},
             {"--max-unknowns", at + "--max-unknowns 5", "a whole number, 10..20000"},
             {"--threads", at + "--threads 2000", "a whole number, 1..1000"},
             {"--least-efficiency", at + "--least-efficiency 120%", "0 up to below 100%"},
             {"--talk", exposed + "--talk 1.5", "0.0001 to 1"},
             {"--over", exposed + "--over 1e9", "100 ms to 36000 s"},
             {"--tune", exposed + "--tune 1e9", "0, or 100 ms to 1800 s"},
             {"--tune-every", exposed + "--tune 10s --tune-every 1e9", "1 s to 86400 s"},
             {"--person-mass", exposed + "--person-mass 75000", "10 kg to 300 kg; was a unit meant"},
             {"--hand", exposed + "--hand 1e9", "0 ohm to 100 kohm"},
             {"--pack-mass", exposed + "--pack-mass 8000", "1 g to 100 kg"},
             {"--half-width", exposed + "--half-width 15", "10 mm to 1 m"},
             {"--gust", exposed + "--gust 0.5", "1 to 3"},
             {"--pole", exposed + "--pole 6m,40,6mm", "1 mm to 500 mm; was a unit meant, such as \"40 mm\"?"},
             {"--altitude", exposed + "--altitude 20km", "-500 m to 11 km"}});
}
