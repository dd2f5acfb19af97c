// stile-whip as a user runs it.

#include <cmath>
#include <complex>
#include <regex>

#include <fmt/format.h>

#include <stile/base/table.hpp>
#include <stile/load/load_file.hpp>
#include <stile/wire/detail/matrix.hpp>
#include <stile/wire/solve.hpp>

#include "plots/chart_measure.hpp"
#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

// The antenna of row L1 of tests/data/wire/cases.csv (there both wires are perfect conductors).
const std::string wires = R"([ground]
relative_permittivity = 15
conductivity = "1 mS/m"
[[wire]]
name = "whip"
points = [[0, 0, 1.2], [0, 0, 3.6]]
radius = "2 mm"
metal = "perfect"
[[wire]]
name = "counterpoise"
points = [[0, 0, 1.2], [1.2, 0, 0.05], [6.2, 0, 0.05]]
radius = "1 mm"
metal = "perfect"
[feed]
gap = "20 mm"
)";
const std::string coil =
    "[[coil]]\non = \"whip\"\ndistance = \"1.2 m\"\nlength = \"20 mm\"\ninductance = \"38 uH\"\nq = 250\n";
const std::string two =
    "[[condition]]\nname = \"on heather\"\n[[condition]]\nname = \"wire lifted\"\nkind = \"lifted\"\n";

void write_wires(const Folder& folder, const std::string& more = "") { folder.write("whip.toml", wires + more); }

std::complex<double> feed(const nlohmann::json& point) {
  return {point.at("feed_ohm").at(0), point.at("feed_ohm").at(1)};
}

void check_refused(const Folder& folder, const std::string& arguments, const std::string& part) {
  const Run run = folder.run("stile-whip " + arguments);
  INFO(arguments << "\n" << run.err);
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK(programs::lines(run.err) == 1);
  CHECK(run.err.find("stile-whip: ") == 0);
  CHECK(run.err.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("stile-whip gives the fixed keys and a known impedance") {
  const Folder folder;
  write_wires(folder);
  const Run run = folder.run("stile-whip whip.toml --frequency 7MHz --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.err.empty());
  const auto json = run.json();
  CHECK(json.at("tool") == "stile-whip");
  CHECK(json.at("version").is_string());
  REQUIRE(json.at("points").size() == 1);
  const auto& point = json.at("points").at(0);
  CHECK(point.at("frequency_hz") == 7e6);
  CHECK(point.at("condition") == "as drawn");
  // Row L1: 21.3507-1170.808j ohm, tolerances 0.854 and 17.6 ohm, radiated 0.07724.
  CHECK(std::abs(feed(point).real() - 21.3507) <= 0.854);
  CHECK(std::abs(feed(point).imag() + 1170.808) <= 17.6);
  CHECK(std::abs(point.at("efficiency").get<double>() - 0.07724) <= 0.01 * 0.07724);
  double sum = 0.0;
  for (const char* key : {"efficiency", "ground_loss_share", "metal_loss_share", "coil_loss_share"})
    sum += point.at(key).get<double>();
  CHECK(std::abs(sum - 1.0) <= 1e-12);
  CHECK(point.at("metal_loss_share") == 0.0);
  // |Z| sqrt(2 P/R), all of 5 W accepted.
  const double voltage = std::abs(feed(point)) * std::sqrt(2.0 * 5.0 / feed(point).real());
  CHECK(std::abs(point.at("feed_voltage_v_peak").get<double>() - voltage) <= 1e-9 * voltage);
  CHECK(json.at("conditions").at(0).at("ground") == "ground of relative permittivity 15, 1 mS/m");
  CHECK(json.at("spread").empty());
  CHECK(json.at("warnings").empty());
  CHECK(json.at("cautions").size() >= 6);
}

TEST_CASE("everything carried: what each condition changed, the hand and the corner of the ground are shown") {
  const Folder folder;
  const std::string command = "stile-whip '" STILE_EXAMPLES_FOLDER "/moor/carried.toml' --frequency 7.1MHz";
  const Run run = folder.run(command + " --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  CHECK(json.at("warnings").empty());
  REQUIRE(json.at("points").size() == 5);
  CHECK(json.at("conditions").at(0).at("changes").empty());
  CHECK(json.at("conditions").at(3).at("changes").at(0) == "wire \"long wire\" is torn off");
  for (const auto& point : json.at("points")) {
    double sum = 0.0;
    for (const char* key : {"efficiency", "ground_loss_share", "metal_loss_share", "coil_loss_share", "lump_loss_share",
                            "person_loss_share"})
      sum += point.at(key).get<double>();
    CHECK(std::abs(sum - 1.0) <= 1e-12);
    CHECK(point.at("person_loss_share") > 0.0);
    CHECK(point.contains("hand_current_a_per_sqrt_w") == (point.at("condition") == "hand on the set"));
    CHECK(point.contains("hand_and_arm_loss_share") == (point.at("condition") == "hand on the set"));
    CHECK(point.contains("lying_wire_corner") == (point.at("condition") != "lifted"));
  }
  const auto& heather = json.at("points").at(0);
  const double x = feed(heather).imag(), r = feed(heather).real();
  CHECK(heather.at("tuned").at("coil_q") == 200.0);
  CHECK(heather.at("tuned").at("efficiency").get<double>() ==
        Approx(heather.at("efficiency").get<double>() * r / (r + std::abs(x) / 200.0)));
  REQUIRE(heather.at("mean_gain").size() == 2);
  CHECK(heather.at("mean_gain").at(0).at("elevation_deg") == std::vector<double>{5.0, 20.0});
  CHECK(heather.at("mean_gain").at(1).at("elevation_deg") == std::vector<double>{60.0, 80.0});
  // Between the gains at 5, 10 and 20 degrees in one direction and some dB around.
  CHECK(std::abs(heather.at("mean_gain").at(0).at("gain_dbi").get<double>() -
                 heather.at("gain").at(1).at("gain_dbi").get<double>()) <= 3.0);
  check_refused(folder, "carried.toml --frequency 7MHz --elevation 20", "legal: FROM:TO in degrees, as 5:20");
  check_refused(folder, "carried.toml --frequency 7MHz --elevation 20:10", "legal: FROM below TO");
  const auto& corner = heather.at("lying_wire_corner");
  CHECK(corner.at("ground_factor") == std::vector<double>{2.0, 5.0});
  CHECK(corner.at("feed_r_ohm").at(1).get<double>() ==
        Approx(feed(heather).real() * (1.0 + 4.0 * heather.at("ground_loss_share").get<double>())));
  CHECK(corner.at("efficiency").at(1) < heather.at("efficiency"));
  const std::string text = folder.run(command).out;
  CHECK(text.find("Hand on the set; the stated contact is that of hand and arm, and heats the person\n") !=
        std::string::npos);
  CHECK(text.find("In hand and arm, mW for 1 W") != std::string::npos);
  CHECK(text.find("Vegetation is missing") != std::string::npos);
  CHECK(
      text.find(
          "base across the terminals: 5 pF, 1 Mohm of a wet surface; assumed values of a file with [set], where [feed] "
          "may state others or \"none\"\n") != std::string::npos);
  CHECK(json.at("conditions").at(0).at("base_capacitance_f") == 5e-12);
  CHECK(json.at("conditions").at(0).at("base_leakage_ohm") == 1e6);
  CHECK(text.find("Radiated after tuning with a coil of Q 200, mean gains with its loss\n") != std::string::npos);
  CHECK(text.find(
            "With 2 to 5 times the ground resistance, as measured on single lying radials; for wires that lie\nand are "
            "shorter than a quarter wave\n") != std::string::npos);
  // 5 m of wire are a quarter wave at 15 MHz.
  const auto high =
      folder.run("stile-whip '" STILE_EXAMPLES_FOLDER "/moor/carried.toml' --frequency 18.1MHz --json").json();
  for (const auto& point : high.at("points"))
    CHECK(point.contains("lying_wire_corner") == (point.at("condition") == "long wire torn off"));
  CHECK(text.find("wire \"long wire\" is torn off") != std::string::npos);
  const std::string csv = folder.run(command + " --csv").out;
  const stile::Table table = stile::read_table(csv, "out.csv");
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const auto& point = json.at("points").at(n);
    INFO(point.at("condition"));
    CHECK(table.number(n, "person_loss_share") == point.at("person_loss_share"));
    const bool hand = point.contains("hand_current_a_per_sqrt_w");
    CHECK(table.text(n, "hand_current_a_per_sqrt_w").empty() == !hand);
    CHECK(table.text(n, "hand_and_arm_loss_share").empty() == !hand);
    if (hand) CHECK(table.number(n, "hand_and_arm_loss_share") == point.at("hand_and_arm_loss_share"));
    const bool lies = point.contains("lying_wire_corner");
    CHECK(table.text(n, "lying_wire_corner_feed_r_low_ohm").empty() == !lies);
    if (!lies) continue;
    CHECK(table.number(n, "lying_wire_corner_feed_r_low_ohm") == point.at("lying_wire_corner").at("feed_r_ohm").at(0));
    CHECK(table.number(n, "lying_wire_corner_feed_r_high_ohm") == point.at("lying_wire_corner").at("feed_r_ohm").at(1));
    CHECK(table.number(n, "lying_wire_corner_efficiency_low") == point.at("lying_wire_corner").at("efficiency").at(1));
    CHECK(table.number(n, "lying_wire_corner_efficiency_high") == point.at("lying_wire_corner").at("efficiency").at(0));
  }
}

TEST_CASE("a wire that lies has its velocity, quarter wave and lengths to avoid in every format") {
  const Folder folder;
  folder.write(
      "lying.toml",
      "ground = \"average\"\n[feed]\ngap = \"20 mm\"\n[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.2], [0, "
      "0, 4.2]]\nradius = \"1.5 mm\"\nmetal = \"copper\"\n[[wire]]\nname = \"tail\"\nlength = \"5 m\"\nradius = "
      "\"0.5 mm\"\nmetal = \"copper\"\n[[condition]]\nname = \"drawn\"\n[[condition]]\nname = \"up\"\nkind = "
      "\"lifted\"\n");
  const std::string command = "stile-whip lying.toml --frequency 14.2MHz ";
  const Run text = folder.run(command), csv = folder.run(command + "--csv");
  INFO(text.err);
  const auto points = folder.run(command + "--json").json().at("points");
  REQUIRE(points.size() == 2);
  CHECK(points.at(1).at("lying_wires").empty());
  REQUIRE(points.at(0).at("lying_wires").size() == 1);
  const auto& w = points.at(0).at("lying_wires").at(0);
  CHECK(w.at("wire") == "tail");
  const double quarter = w.at("quarter_wave_m"), velocity = w.at("velocity_factor");
  CHECK(quarter == Approx(velocity * 0.25 * 299792458.0 / 14.2e6));
  CHECK(velocity > 0.7);
  CHECK(velocity < 0.9);
  REQUIRE(w.at("avoid_m").size() == 2);  // a half wave and a whole one
  CHECK(w.at("avoid_m").at(0).at(0) == Approx(1.8 * quarter));
  char said[64];
  std::snprintf(said, sizeof said, "%.3g m to %.3g m, ", 1.8 * quarter, 2.2 * quarter);
  CHECK(text.out.find(said) != std::string::npos);
  std::snprintf(said, sizeof said, "%.4g m", quarter);
  CHECK(text.out.find(said) != std::string::npos);
  CHECK(csv.out.find("# lying wire, drawn, 14200000 Hz, tail: ") != std::string::npos);
  CHECK(csv.out.find(fmt::format("quarter wave {} m, avoid {} to {} m", quarter,
                                 w.at("avoid_m").at(0).at(0).get<double>(),
                                 w.at("avoid_m").at(0).at(1).get<double>())) != std::string::npos);
}

TEST_CASE("another ground on the command line does not leave the sentences of the file's") {
  const Folder folder;
  const std::string command = "stile-whip '" STILE_EXAMPLES_FOLDER
                              "/moor/carried.toml' --frequency 7.1MHz --condition 'in wet peat' --json --ground ";
  CHECK(folder.run(command + "sea").json().at("conditions").at(0).at("changes") ==
        std::vector<std::string>{"the ground is sea"});
  CHECK(folder.run(command + "wet").json().at("conditions").at(0).at("changes") ==
        std::vector<std::string>{"the ground is wet"});
  check_refused(folder, "'" STILE_EXAMPLES_FOLDER "/moor/carried.toml' --frequency 7MHz --ground 'free space'",
                "on heather: a person needs a lossy ground to stand on");
  const auto bare = folder
                        .run("stile-whip '" STILE_EXAMPLES_FOLDER
                             "/moor/whip.toml' --frequency 7MHz --condition 'on heather' --json --ground 'free space'")
                        .json();
  CHECK(!bare.at("points").at(0).contains("lying_wire_corner"));
}

TEST_CASE("the spread of the person is rows of the result") {
  const Folder folder;
  const std::string command = "stile-whip '" STILE_EXAMPLES_FOLDER
                              "/moor/carried.toml' --frequency 7.1MHz --condition 'hand on the set' --spread ";
  const auto json = folder.run(command + "--json").json();
  REQUIRE(json.at("points").size() == 5);
  CHECK(json.at("conditions").at(0).at("corner_of") == "");
  for (std::size_t n = 1; n < 5; ++n) CHECK(json.at("conditions").at(n).at("corner_of") == "hand on the set");
  CHECK(json.at("points").at(4).at("condition") == "hand on the set, person's height +0.15 m");
  CHECK(json.at("spread").at(0).at("r_ohm").at(0) < json.at("spread").at(0).at("r_ohm").at(1));
  write_wires(folder);
  check_refused(folder, "whip.toml --frequency 7MHz --spread",
                "whip.toml:1:1: the spread of a person needs the table [person]");
}

TEST_CASE("the example's whip is the whip of the example's loads within the stated accuracy") {
  // R 4 %, X 1.5 % of |Z|, radiated share 1 % and metal 1 % of their values; the files come from another solver.
  const Folder folder;
  std::string command = "stile-whip '" STILE_EXAMPLES_FOLDER "/../tests/data/wire/whip_bare.toml' --json";
  const std::string loads = STILE_EXAMPLES_FOLDER "/loads/whip3m_";
  const auto frequencies = stile::read_table(programs::content(loads + "heather_efficiency.csv"), "heather");
  for (std::size_t r = 0; r < frequencies.rows.size(); ++r)
    command += " --frequency " + frequencies.text(r, "frequency_hz");
  const Run run = folder.run(command);
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  std::size_t compared = 0;
  for (const auto& [condition, file] : std::vector<std::pair<std::string, std::string>>{
           {"on heather", "heather"}, {"lifted", "lifted"}, {"in wet peat", "wetpeat"}}) {
    const stile::load::Load load = stile::load::load_from_file(loads + file + ".s1p");
    const auto shares = stile::read_table(programs::content(loads + file + "_efficiency.csv"), file);
    std::size_t row = 0;
    for (const auto& point : json.at("points")) {
      if (point.at("condition") != condition) continue;
      const double f = point.at("frequency_hz");
      const std::complex<double> z = feed(point), expected = stile::load::load_impedance(load, f);
      INFO(condition << " " << f << ": " << z << ", expected " << expected);
      CHECK(std::abs(z.real() - expected.real()) <= 0.04 * expected.real());
      CHECK(std::abs(z.imag() - expected.imag()) <= 0.015 * std::abs(expected));
      CHECK(std::abs(z - expected) <= 0.01 * std::abs(expected));
      const double radiated = shares.number(row, "far_field_power_over_input"),
                   metal = shares.number(row, "metal_loss_over_input");
      CHECK(std::abs(point.at("efficiency").get<double>() - radiated) <= 0.01 * radiated);
      CHECK(std::abs(point.at("metal_loss_share").get<double>() - metal) <= 0.01 * metal);
      ++row;
      ++compared;
    }
  }
  CHECK(compared == 3 * 30);
}

TEST_CASE("conditions follow each other in every format and their spread is shown") {
  const Folder folder;
  write_wires(folder, two);
  const std::string command = "stile-whip whip.toml --sweep 7MHz:7.2MHz:3 --frequency 14.2MHz ";
  const auto json = folder.run(command + "--json").json();
  REQUIRE(json.at("points").size() == 8);
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  REQUIRE(table.rows.size() == 8);
  for (std::size_t n = 0; n < 8; ++n) {
    const auto& point = json.at("points").at(n);
    CHECK(point.at("condition") == (n < 4 ? "on heather" : "wire lifted"));
    CHECK(table.text(n, "condition") == point.at("condition").get<std::string>());
    CHECK(table.number(n, "frequency_hz") == point.at("frequency_hz"));
    CHECK(table.number(n, "feed_r_ohm") == point.at("feed_ohm").at(0));
    CHECK(table.number(n, "feed_x_ohm") == point.at("feed_ohm").at(1));
    CHECK(table.number(n, "efficiency") == point.at("efficiency"));
    CHECK(table.number(n, "q") == point.at("q"));
    CHECK(table.number(n, "gain_10deg_dbi") == point.at("gain").at(1).at("gain_dbi"));
  }
  CHECK(json.at("cautions").at(0).at("text").get<std::string>().find(": 7 MHz, wire lifted, all of it accepted. ") !=
        std::string::npos);
  REQUIRE(json.at("spread").size() == 4);
  const auto& x = json.at("spread").at(0).at("x_ohm");
  CHECK(std::min(feed(json.at("points").at(0)).imag(), feed(json.at("points").at(4)).imag()) == x.at(0));
  CHECK(std::max(feed(json.at("points").at(0)).imag(), feed(json.at("points").at(4)).imag()) == x.at(1));
  const Run text = folder.run(command);
  CHECK(text.status == 0);
  for (const char* part : {"Condition    Frequency  Feed, ohm", "wire lifted  14.2 MHz", "Between the conditions",
                           "\nCaution, RF burn: up to "}) {
    INFO(part);
    CHECK(text.out.find(part) != std::string::npos);
  }
  CHECK(folder.run(command + "--csv").out.find("\n# caution: RF burn: ") != std::string::npos);
  const auto one = folder.run(command + "--condition 'wire lifted' --json").json();
  REQUIRE(one.at("points").size() == 4);
  CHECK(feed(one.at("points").at(0)) == feed(json.at("points").at(4)));
}

TEST_CASE("the first columns of the whip's CSV do not move") {
  const Folder folder;
  write_wires(folder);
  const Run run = folder.run("stile-whip whip.toml --frequency 7MHz --csv");
  CHECK(run.out.find("condition,frequency_hz,feed_r_ohm,feed_x_ohm,efficiency,ground_loss_share,metal_loss_share,coil_"
                     "loss_share,q,") == 0);
}

TEST_CASE("Q is that of the slope with and without neighbours") {
  // Over perfect ground and lossless the slope of a whip's impedance is smooth: neighbours 0.5 % apart and a thousandth
  // beside must agree within the second derivative, and be above the bound of the lossless cylinder.
  const Folder folder;
  folder.write("whip.toml", "ground = \"perfect\"\n[[wire]]\nname = \"whip\"\npoints = [[0,0,0],[0,0,2.4]]\nradius = "
                            "0.002\nmetal = \"perfect\"\n[feed]\ngap = 0.01\n");
  const auto alone = folder.run("stile-whip whip.toml --frequency 7.1MHz --json").json().at("points").at(0);
  const auto among = folder.run("stile-whip whip.toml --sweep 7.06MHz:7.14MHz:3 --json").json().at("points").at(1);
  REQUIRE(among.at("frequency_hz") == 7.1e6);
  const double q = alone.at("q");
  CHECK(std::abs(among.at("q").get<double>() - q) <= 0.005 * q);
  CHECK(q >= alone.at("least_q_lossless").get<double>());
  CHECK(feed(alone) == feed(among));
}

TEST_CASE("a sweep interpolates between a few solved points, to a ten-thousandth of solving each") {
  const Folder folder;
  write_wires(folder, two);
  const std::string command = "stile-whip whip.toml --sweep 7MHz:7.2MHz:21 --condition 'on heather' --json";
  const auto few = folder.run(command).json(), each = folder.run(command + " --every-point").json();
  bool equal = true;
  for (std::size_t n = 0; n < 21; ++n) {
    const std::complex<double> z = feed(few.at("points").at(n)), expected = feed(each.at("points").at(n));
    CHECK(std::abs(z - expected) <= 1e-4 * std::abs(expected));
    equal = equal && z == expected;
  }
  CHECK_FALSE(equal);
}

TEST_CASE("the numbers do not depend on the number of threads") {
  const Folder folder;
  write_wires(folder, coil + two);
  const std::string command = "stile-whip whip.toml --sweep 7MHz:7.2MHz:7 --json --threads ";
  const Run one = folder.run(command + "1"), three = folder.run(command + "3");
  REQUIRE(one.status == 0);
  CHECK(one.out == three.out);
}

TEST_CASE("the ground of the file gives way to that of the command line") {
  const Folder folder;
  write_wires(folder, two);
  const auto named = folder.run("stile-whip whip.toml --frequency 7MHz --ground wet --json").json();
  const auto pair = folder.run("stile-whip whip.toml --frequency 7MHz --ground 30,10mS/m --json").json();
  CHECK(named.at("points") == pair.at("points"));
  CHECK(named.at("conditions").at(0).at("changes").at(0) == "the ground is wet");
  CHECK(named.at("conditions").at(1).at("ground") == "ground of relative permittivity 30, 10 mS/m");
  // Row L2 of tests/data/wire/cases.csv.
  CHECK(std::abs(feed(named.at("points").at(0)).real() - 23.3081) <= 0.932);
  CHECK(std::abs(feed(named.at("points").at(0)).imag() + 1160.676) <= 17.4);
  const auto fast = folder.run("stile-whip whip.toml --frequency 7MHz --fast --json").json();
  const double r = feed(fast.at("points").at(0)).real() / 21.3507;
  CHECK(r >= 0.96);
  CHECK(r <= 1.22);
  const auto fine =
      folder.run("stile-whip whip.toml --frequency 7MHz --fineness 3 --condition 'on heather' --json").json();
  CHECK(std::abs(feed(fine.at("points").at(0)) - std::complex<double>(21.3507, -1170.808)) <= 0.01 * 1171.0);
  CHECK(fine.at("points").at(0).at("unknowns").get<int>() > 2 * fast.at("points").at(0).at("unknowns").get<int>());
}

TEST_CASE("each condition has a Touchstone file of its own that is a load") {
  const Folder folder;
  write_wires(folder, two);
  const Run run = folder.run("stile-whip whip.toml --sweep 7MHz:7.2MHz:5 --touchstone out.s1p --json -o out.json");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(run.out.empty());
  CHECK(folder.names() ==
        std::vector<std::string>{"out-on-heather.s1p", "out-wire-lifted.s1p", "out.json", "whip.toml"});
  const auto json = nlohmann::json::parse(programs::content(folder.file("out.json")));
  const stile::load::Load load = stile::load::load_from_file(folder.file("out-wire-lifted.s1p").string());
  const std::complex<double> z = stile::load::load_impedance(load, 7e6), expected = feed(json.at("points").at(5));
  CHECK(std::abs(z - expected) <= 1e-12 * std::abs(expected));
  const std::string text = programs::content(folder.file("out-wire-lifted.s1p"));
  for (const char* part :
       {"condition: wire lifted", "not measured", "wire \"counterpoise\": 6.662 m long", "caution: RF burn"}) {
    INFO(part);
    CHECK(text.find(part) != std::string::npos);
  }
  const Run pipe = folder.run("stile-whip whip.toml --condition 'wire lifted' --sweep 7MHz:7.2MHz:5 --touchstone - | "
                              "stile-net --frequency 7.1MHz --load-file - --json");
  INFO(pipe.err);
  CHECK(pipe.status == 0);
  CHECK(pipe.json().at("points").at(0).at("load_ohm").at(0).get<double>() > 1.0);
}

TEST_CASE("field detail and study are given when asked for") {
  const Folder folder;
  write_wires(folder, coil);
  const auto json = folder
                        .run("stile-whip whip.toml --frequency 7MHz --field 0.5,0,2 --field 50cm,1m,1 --detail --study "
                             "--power 10W --json")
                        .json();
  const auto& point = json.at("points").at(0);
  REQUIRE(point.at("field").size() == 2);
  CHECK(point.at("field").at(1).at("point_m") == nlohmann::json({0.5, 1.0, 1.0}));
  const auto five = folder.run("stile-whip whip.toml --frequency 7MHz --field 0.5,0,2 --field 50cm,1m,1 --json")
                        .json()
                        .at("points")
                        .at(0)
                        .at("field")
                        .at(0);
  for (const char* key : {"e_v_m", "h_a_m"}) {  // fields go with the root of the power
    const double ratio = point.at("field").at(0).at(key).get<double>() / five.at(key).get<double>();
    CHECK(std::abs(ratio - std::sqrt(2.0)) <= 1e-9);
  }
  CHECK(point.at("pattern").size() == 91);
  CHECK(point.at("pattern").at(90).at("elevation_deg") == 90.0);
  CHECK(point.at("currents").size() > 20);
  CHECK(json.at("study").at(0).at("coil").size() >= 15);
  const auto& lengths = json.at("study").at(0).at("length");
  REQUIRE(lengths.size() == 11);
  CHECK(std::abs(lengths.at(0).at("whip_length_m").get<double>() - 1.2) <= 1e-9);
  CHECK(std::abs(lengths.at(10).at("whip_length_m").get<double>() - 3.6) <= 1e-9);
  CHECK(std::abs(feed(lengths.at(5)) - feed(point)) <= 1e-6 * std::abs(feed(point)));  // the middle one is the drawing
  const auto& coils = json.at("study").at(0).at("coil");
  bool drawn = false;
  for (const auto& p : coils) {
    drawn = drawn || std::abs(feed(p) - feed(point)) <= 1e-6 * std::abs(feed(point));
    CHECK(p.at("tuned_efficiency").get<double>() <= p.at("efficiency").get<double>());
  }
  CHECK(drawn);
  const Run text = folder.run("stile-whip whip.toml --frequency 7MHz --field 0.5,0,2 --study");
  for (const char* part :
       {"Field with 5 W into the antenna", "0.5, 0, 2", "Coil from the feed", "Length of the whip"}) {
    INFO(part);
    CHECK(text.out.find(part) != std::string::npos);
  }
  CHECK(folder.run("stile-whip whip.toml --frequency 7MHz --field 0.5,0,2 --csv")
            .out.find("field_1_e_v_m,field_1_h_a_m,") != std::string::npos);
}

TEST_CASE("the Q of the tuning coil and the elevations reach every format and the study") {
  const Folder folder;
  // A coil on the counterpoise comes first and has a Q of its own, which is not that of the tuning coil.
  write_wires(folder, "[[coil]]\non = \"counterpoise\"\ndistance = \"3 m\"\nlength = \"20 mm\"\ninductance = \"1 uH\"\n"
                      "q = 77\n" +
                          coil);
  const std::string command = "stile-whip whip.toml --frequency 7MHz --tuning-q 60 --elevation 3:9 ";
  const auto json = folder.run(command + "--study --json").json();
  const auto& point = json.at("points").at(0);
  const double left = point.at("tuned").at("efficiency"), whole = point.at("efficiency"),
               x = std::abs(feed(point).imag()), r = feed(point).real();
  CHECK(left == Approx(whole * r / (r + x / 60.0)));
  const auto &mean = point.at("mean_gain").at(0), &tuned = point.at("tuned").at("mean_gain").at(0);
  CHECK(mean.at("elevation_deg") == std::vector<double>{3.0, 9.0});
  CHECK(tuned.at("elevation_deg") == std::vector<double>{3.0, 9.0});
  CHECK(std::abs(tuned.at("gain_dbi").get<double>() - mean.at("gain_dbi").get<double>() -
                 10.0 * std::log10(left / whole)) <= 1e-9);
  const auto& drawn = json.at("study").at(0).at("length").at(5);
  CHECK(std::abs(drawn.at("tuned_efficiency").get<double>() - left) <= 1e-6 * left);
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  CHECK(table.number(0, "tuned_coil_q") == 60.0);
  CHECK(table.number(0, "tuned_efficiency") == point.at("tuned").at("efficiency"));
  CHECK(table.number(0, "mean_gain_3_to_9deg_dbi") == mean.at("gain_dbi"));
  CHECK(table.number(0, "tuned_mean_gain_3_to_9deg_dbi") == tuned.at("gain_dbi"));
  CHECK(table.number(0, "lump_loss_share") == 0.0);
  CHECK(table.text(0, "hand_current_a_per_sqrt_w").empty());
  const std::string text = folder.run(command + "--study").out;
  CHECK(text.find("Tuned gain 3 to 9 deg, dBi") != std::string::npos);
  CHECK(text.find("The tuning coil at the feed, of Q 60, takes the reactance away.\n") != std::string::npos);
}

TEST_CASE("a hat stays on top of the whip when its length is studied") {
  const Folder folder;
  const std::string hat = "[[wire]]\nname = \"hat\"\npoints = [[-0.3, 0, 3.6], [0, 0, 3.6], [0.3, 0, 3.6]]\nradius = "
                          "0.001\nmetal = \"perfect\"\n";
  write_wires(folder, hat);
  const auto json = folder.run("stile-whip whip.toml --frequency 7MHz --study --json").json();
  const auto& lengths = json.at("study").at(0).at("length");
  REQUIRE(lengths.size() == 11);
  CHECK(std::abs(feed(lengths.at(5)) - feed(json.at("points").at(0))) <=
        1e-9 * std::abs(feed(json.at("points").at(0))));
  for (std::size_t n = 1; n < 11; ++n) {  // a hat left behind would jump
    const double step = feed(lengths.at(n)).imag() - feed(lengths.at(n - 1)).imag();
    CHECK(step > 0.0);
    CHECK(step < 200.0);
  }
}

TEST_CASE("a stated least efficiency that does not hold is status 1 with the whole result") {
  const Folder folder;
  write_wires(folder);
  CHECK(folder.run("stile-whip whip.toml --frequency 7MHz --least-efficiency 7%").status == 0);
  const Run run = folder.run("stile-whip whip.toml --frequency 7MHz --least-efficiency 0.2 --json");
  CHECK(run.status == 1);
  CHECK(run.err.find("stile-whip: efficiency 7.7") == 0);
  CHECK(run.err.find("at 7 MHz in \"as drawn\", stated least 20 %\n") != std::string::npos);
  CHECK(run.json().at("points").size() == 1);
}

TEST_CASE("doubtful thin wires are warned of in every format") {
  const Folder folder;
  folder.write("thick.toml", "ground = \"perfect\"\n[[wire]]\nname = \"mast\"\npoints = [[0,0,0],[0,0,1.5]]\nradius = "
                             "\"12 cm\"\nmetal = \"aluminium\"\n[feed]\ngap = \"12 cm\"\n");
  const Run run = folder.run("stile-whip thick.toml --frequency 28MHz --json");
  CHECK(run.status == 0);
  CHECK(run.err.find("stile-whip: warning: as drawn: wire \"mast\": ") == 0);
  REQUIRE(run.json().at("warnings").size() >= 1);
  CHECK(folder.run("stile-whip thick.toml --frequency 28MHz").out.find("Warning: as drawn: wire \"mast\"") !=
        std::string::npos);
  CHECK(folder.run("stile-whip thick.toml --frequency 28MHz --csv").out.find("# warning: as drawn: wire \"mast\"") !=
        std::string::npos);
  CHECK(folder.run("stile-whip thick.toml --frequency 28MHz --touchstone -").out.find("! warning: wire \"mast\"") !=
        std::string::npos);
  const Run quiet = folder.run("stile-whip thick.toml --frequency 28MHz --json --quiet");
  CHECK(quiet.err.empty());
  CHECK(quiet.out == run.out);
}

TEST_CASE("progress is counted on a terminal once the work takes long and wiped at the end") {
  const Folder folder;
  write_wires(folder);
  const std::string slow =
      "stile-whip whip.toml --sweep 7MHz:7.2MHz:12 --every-point --fineness 16 --threads 1 --csv -o out.csv";
  // Beside it the two that show nothing, started before it and ended once it has counted.
  const Run run = folder.run(slow + "2 2>no_terminal & pids=$!; script -qefc 'echo begun; exec " + slow +
                             "3 --quiet' quiet >/dev/null & pids+=\" $!\"; script -qefc '" + slow +
                             "' log >/dev/null & shown=$!; for n in {1..500}; do grep -qs ' of 12 solved' log && " +
                             "grep -qs ^begun quiet && break; sleep 0.1; done; kill $pids; wait $shown; echo $?; wait");
  CHECK(run.out == "0\n");
  const std::string log = programs::content(folder.file("log"));
  INFO(log);
  CHECK(log.find("\rstile-whip: ") != std::string::npos);
  CHECK(log.find(" of 12 solved") != std::string::npos);
  CHECK(log.find("\r\033[K") != std::string::npos);
  REQUIRE(programs::fs::exists(folder.file("no_terminal")));
  CHECK(programs::content(folder.file("no_terminal")).empty());
  CHECK(programs::content(folder.file("quiet")).find("solved") == std::string::npos);
  CHECK(programs::content(folder.file("quiet")).find("begun") != std::string::npos);
}

TEST_CASE("the help states the accuracies that the solver's tests assert") {
  const std::string help = Folder().run("stile-whip --help").out;
  // In tests/wire/test_solve.cpp: case rows at default cells, at fineness 3, and near half a wave.
  CHECK(
      help.find("R within 4 %, the whole within 1.2 % of |Z| (where the\ncounterpoise is near half a wave 1.5 %, over "
                "perfect ground 8 %), shares 1 %; at --fineness 3 within 0.6 % of |Z|.") != std::string::npos);
}

TEST_CASE("what stile-whip refuses") {
  const Folder folder;
  write_wires(folder, two);
  folder.write("same.toml", wires + "[[condition]]\nname = \"a b\"\n[[condition]]\nname = \"a/b\"\n");
  folder.write("broken.toml", "[ground]\nkind = \"mud\"\n" + wires.substr(wires.find("[[wire]]")));
  const std::string at = "whip.toml --frequency 7MHz ";
  check_refused(folder, "--frequency 7MHz", "no wires file is given; legal: stile-whip FILE.toml");
  check_refused(folder, "none.toml --frequency 7MHz", "none.toml");
  check_refused(folder, "broken.toml --frequency 7MHz", "broken.toml:2:8: no ground \"mud\"; known are ");
  check_refused(folder, "whip.toml", "no frequency is given; legal: --frequency 7.1MHz or --sweep");
  check_refused(folder, "whip.toml --frequency 7.1mHz", "--frequency: column 4: ");
  check_refused(folder, "whip.toml --frequency 1kHz", "frequency 1 kHz is out of range; legal: 100kHz..300MHz");
  check_refused(folder, "whip.toml --frequency -7MHz", "must be > 0");
  check_refused(folder, "whip.toml --sweep 7MHz:6MHz:3", "--sweep: column ");
  check_refused(folder, at + "--condition nowhere",
                "--condition \"nowhere\": whip.toml has no such condition; legal: on heather, wire lifted");
  check_refused(folder, at + "--ground mud", "--ground: column 1: \"mud\": no ground \"mud\"");
  check_refused(folder, at + "--ground 15,1m", "--ground: column 5: ");
  check_refused(
      folder, at + "--ground 0.5,1mS/m",
      "--ground: column 1: \"0.5\" is not plausible for the relative permittivity of a ground; legal: 1 to 1000");
  check_refused(folder, at + "--power 0W", "--power: column 1: ");
  check_refused(folder, at + "--fineness 20", "--fineness: column 1: \"20\": out of range; legal: 0.25..16");
  check_refused(folder, at + "--max-unknowns 12", "more than 12 unknowns");
  // What the help says of memory is what the solver takes: a matrix, and what each two cells do to each other.
  const std::string help = folder.run("stile-whip --help").out;
  const std::string joined = std::regex_replace(help, std::regex("\\s+"), " ");
  const std::size_t most = stile::wire::SolveOptions{}.max_unknowns, matrix = sizeof(stile::cdouble),
                    known = sizeof(stile::wire::detail::CellCoupling) / 2;
  CHECK(joined.find(fmt::format("N unknowns take {} N^2 byte, with --exposure and a person {} N^2 more on each thread; "
                                "default {} ({} MB)",
                                matrix, known, most, matrix * most * most / 1000000)) != std::string::npos);
  for (const std::string wrong : {"5", "20001", "12.5"})
    check_refused(folder, at + "--max-unknowns " + wrong,
                  "--max-unknowns: column 1: \"" + wrong + "\": out of range; legal: a whole number, 10..20000");
  for (const std::string wrong : {"0", "2000"})
    check_refused(folder, at + "--threads " + wrong,
                  "--threads: column 1: \"" + wrong + "\": out of range; legal: a whole number, 1..1000");
  check_refused(folder, at + "--condition 'wire lifted' --condition 'wire lifted'",
                "--condition \"wire lifted\" is given more than once; legal: once");
  check_refused(folder, at + "--field 1,2", "--field \"1,2\": not a point; legal: X,Y,Z in metres, as 0.5,0,1.2");
  check_refused(folder, at + "--field 1,2,3kg", "--field: column 6: ");
  check_refused(folder, at + "--field 1,2,-3", "");
  check_refused(folder, at + "--azimuth 30m", "--azimuth: column 3: ");
  check_refused(folder, at + "--chart a.png --show smith --reference 0", "--reference: column 1: ");
  check_refused(folder, at + "--least-efficiency 120%", "--least-efficiency: column 1: ");
  check_refused(folder, at + "--show power", "--show says nothing alone; legal: beside --chart");
  check_refused(folder, at + "--show colours --chart a.png",
                "--show \"colours\": there is no such chart; legal: impedance, smith, power, current, pattern, study");
  check_refused(folder, at + "--chart a.bmp", "--chart \"a.bmp\": no such kind of chart");
  check_refused(folder, "whip.toml --sweep 7MHz:7.2MHz:3 --show pattern --chart a.png",
                "--show pattern draws one frequency; legal: a single --frequency");
  check_refused(folder, "whip.toml --sweep 7MHz:7.2MHz:3 --study",
                "--study is made at one frequency; legal: a single --frequency");
  check_refused(folder, at + "--touchstone -", "--touchstone - takes one condition; legal: choose it with --condition");
  check_refused(folder, at + "--touchstone a -o a", "--touchstone and -o name the same file");
  check_refused(folder, "same.toml --frequency 7MHz --touchstone a.s1p",
                "two conditions would be written to a-a-b.s1p");
  check_refused(folder, at + "--json --csv", "--json and --csv exclude each other");
  check_refused(folder, at + "-o /dev/full", "/dev/full: cannot be written: No space left on device");
  check_refused(folder, at + "extra", "unexpected argument \"extra\"");
  CHECK(folder.names() == std::vector<std::string>{"broken.toml", "same.toml", "whip.toml"});
}

TEST_CASE("every chart of a whip is drawn in every format") {
  const Folder folder;
  write_wires(folder, coil + two);
  for (const std::string show : {"impedance", "smith", "power", "current", "pattern", "study"}) {
    const Run run = folder.run("stile-whip whip.toml --frequency 7.1MHz --show " + show +
                               " --chart a.png --chart a.svg --chart a.pdf --json");
    INFO(show << "\n" << run.err);
    CHECK(run.status == 0);
    CHECK(run.err.empty());
    CHECK(programs::content(folder.file("a.png")).find("\x89PNG") == 0);
    CHECK(programs::content(folder.file("a.pdf")).find("%PDF-") == 0);
    const std::string svg = programs::content(folder.file("a.svg"));
    CHECK(svg.find("7.1 MHz") != std::string::npos);
    CHECK(svg.find("wire lifted") != std::string::npos);
    chart_measure::check_chart(folder.file("a.svg"));
    for (const char* name : {"a.png", "a.svg", "a.pdf"}) programs::fs::remove(folder.file(name));
  }
}

TEST_CASE("stile-plan takes wires where it takes a load file") {
  const Folder folder;
  write_wires(folder, two);
  const std::string station = "[station]\nname = \"s\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow "
                              "= \"7 MHz\"\nhigh = \"7.2 MHz\"\n"
                              "use = [\"7.09 MHz\", \"7.11 MHz\"]\n[parts]\ninductor_q = 200\ncapacitor_q = 1000\n"
                              "[[arrangement]]\nname = \"coil\"\nkind = \"base coil\"\ntrim = \"each "
                              "condition\"\n[[arrangement]]\nname = \"no match\"\nkind = \"straight\"\n";
  const auto load = [](const std::string& name, const std::string& source) {
    return "[[load]]\ncondition = \"" + name + "\"\n" + source;
  };
  folder.write("wires.toml",
               station + load("heather", "wires = \"whip.toml\"\nwires_condition = \"on heather\"\n") +
                   load("up", "wires = \"whip.toml\"\nwires_condition = \"wire lifted\"\nground = \"wet\"\n"));
  const Run run = folder.run("stile-plan wires.toml --json");
  INFO(run.err);
  REQUIRE(run.status <= 1);
  // The same loads by way of Touchstone files, sampled at the same frequencies.
  REQUIRE(folder
              .run("stile-whip whip.toml --condition 'on heather' --sweep 7MHz:7.2MHz:5 --touchstone heather.s1p -o "
                   "/dev/null")
              .status == 0);
  REQUIRE(folder
              .run("stile-whip whip.toml --condition 'wire lifted' --ground wet --sweep 7MHz:7.2MHz:5 --touchstone "
                   "up.s1p -o /dev/null")
              .status == 0);
  folder.write("files.toml", station + load("heather", "file = \"heather.s1p\"\n") + load("up", "file = \"up.s1p\"\n"));
  const Run other = folder.run("stile-plan files.toml --json");
  REQUIRE(other.status == run.status);
  // A match is chosen for what is radiated where shares are known, so the straight connection is what compares.
  const auto a = run.json().at("bands").at(0).at("arrangements").at(1),
             b = other.json().at("bands").at(0).at("arrangements").at(1);
  CHECK(std::abs(a.at("worst_swr").get<double>() - b.at("worst_swr").get<double>()) <=
        1e-6 * b.at("worst_swr").get<double>());
  CHECK(std::abs(a.at("loss_db").get<double>() - b.at("loss_db").get<double>()) <= 1e-6);
  double ground_w = 0.0;
  const auto coil_set = run.json().at("bands").at(0).at("arrangements").at(0);
  for (const auto& item : coil_set.at("budget")) {
    if (item.at("where") == "ground") ground_w += item.at("power_w").get<double>();
  }
  CHECK(ground_w > 0.1);  // shares come with the wires
  folder.write("bad.toml", station + load("up", "wires = \"whip.toml\"\n"));
  const Run bad = folder.run("stile-plan bad.toml");
  CHECK(bad.status == 2);
  CHECK(bad.err.find("bad.toml:22:9: the wires have several conditions; [[load]] 1 needs the key \"wires_condition\", "
                     "one of: on heather, wire lifted") != std::string::npos);
}
