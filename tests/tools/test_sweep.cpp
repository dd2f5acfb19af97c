// stile-sweep as a user runs it.

#include <cmath>

#include <fmt/format.h>

#include "plots/chart_measure.hpp"
#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

/// S11 of 12 ohm with 20 uH and the capacitance that resonates at a frequency; Hz S RI, with a little that is no noise
/// but differs from point to point.
std::string series_file(double resonance_hz) {
  std::string text = "! invented\n# Hz S RI R 50\n";
  const double l = 20e-6, two_pi = 6.283185307179586;
  for (int i = 0; i < 61; ++i) {
    const double f = 6.8e6 + 1e4 * i, x = two_pi * l * (f - resonance_hz * resonance_hz / f);
    // (z - 50)/(z + 50)
    const double a = 12.0 - 50.0, b = 12.0 + 50.0, d = b * b + x * x, off = 1e-5 * std::sin(7.0 * i * i);
    text += fmt::format("{:.0f} {:.9f} {:.9f}\n", f, (a * b + x * x) / d + off, (x * b - a * x) / d - off);
  }
  return text;
}

}  // namespace

TEST_CASE("sweep: a clean file has the fixed keys and its values") {
  const Folder folder;
  folder.write("a.s1p", series_file(7.1e6));
  const Run run = folder.run("stile-sweep a.s1p --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  const auto& file = j.at("files").at(0);
  CHECK(file.at("file") == "a.s1p");
  CHECK(file.at("ports") == 1);
  CHECK(file.at("points") == 61);
  CHECK(file.at("reference_ohm") == 50.0);
  CHECK(file.at("usable") == true);
  CHECK(file.at("findings").empty());
  REQUIRE(j.at("corrected").size() == 61);
  CHECK(j.at("corrected").at(30).at("frequency_hz") == 7.1e6);
  CHECK(j.at("corrected").at(30).at("z_ohm").at(0).get<double>() == Approx(12.0).margin(0.01));
  CHECK(j.at("fit").is_null());
  CHECK(j.at("comparison").empty());
  CHECK_FALSE(j.at("cautions").empty());
}

TEST_CASE("sweep: findings carry kind, line, frequency and text, and nothing usable is status 1") {
  const Folder folder;
  folder.write("a.s1p", "# MHz S RI R 50\n1 1.02000 0\n2 0.9 -0.10001\n2 0.9 -0.2\n3 0.8 -0.2\n4 0.7 -0.3\n");
  const Run run = folder.run("stile-sweep a.s1p --judge --json");
  REQUIRE(run.status == 0);
  const auto j = run.json();
  const auto& findings = j.at("files").at(0).at("findings");
  REQUIRE(findings.size() >= 2);
  CHECK(findings.at(0).at("kind") == "duplicate");
  CHECK(findings.at(0).at("line") == 4);
  CHECK(findings.at(0).at("frequency_hz") == 2e6);
  CHECK(findings.at(1).at("kind") == "reflection above one");
  CHECK(findings.at(1).at("line") == 2);
  CHECK(j.at("files").at(0).at("cut_lines") == nlohmann::json::array({2}));
  CHECK(j.at("corrected").empty());
  const Run table = folder.run("stile-sweep a.s1p --judge --csv");
  CHECK(table.out.find("file,kind,line,frequency_hz,count,text\na.s1p,duplicate,4,2000000,1,") == 0);

  folder.write("b.s1p", "# MHz S RI R 50\n1 1.2 0\n2 1.3 0\n");
  const Run bad = folder.run("stile-sweep b.s1p");
  CHECK(bad.status == 1);
  CHECK(bad.err == "stile-sweep: b.s1p: nothing of it can be used\n");
  CHECK(bad.out.find("not usable") != std::string::npos);
  folder.write("c.s1p", "# MHz S RI R 50\n1 0.5 0\n2 0.5\n");
  const Run refused = folder.run("stile-sweep c.s1p");
  CHECK(refused.status == 2);
  CHECK(refused.err.find("stile-sweep: c.s1p:3:1: 2 numbers on a data line") == 0);
}

TEST_CASE("sweep: a line that stile-net put in front is taken away through a pipe") {
  const Folder folder;
  const Run run = folder.run(
      "stile-net --sweep 3MHz:10MHz:8 --load 20 --series L=5uH --line RG-58,2m --transformer 2:1 --touchstone - | "
      "stile-sweep - --remove-series L=5uH --remove RG-58,2m --remove-transformer 2:1 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  REQUIRE(j.at("corrected").size() == 8);
  for (const auto& point : j.at("corrected")) {
    CHECK(point.at("z_ohm").at(0).get<double>() == Approx(20.0).epsilon(1e-9));
    CHECK(std::abs(point.at("z_ohm").at(1).get<double>()) <= 1e-8);
  }
  CHECK(j.at("corrections").size() == 3);
}

TEST_CASE("sweep: a fit has name, value and uncertainty, and a model that is refused is status 1") {
  const Folder folder;
  folder.write("a.s1p", series_file(7.1e6));
  const Run run = folder.run("stile-sweep a.s1p --fit series-rlc --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto fit = run.json().at("fit");
  CHECK(fit.at("model") == "series-rlc");
  CHECK(fit.at("parameters").at(0).at("name") == "resistance_ohm");
  const double r = fit.at("parameters").at(0).at("value"), u = fit.at("parameters").at(0).at("uncertainty");
  CHECK(std::abs(r - 12.0) <= 0.01);
  CHECK(u > 0.0);
  CHECK(u < 0.01);
  CHECK(fit.at("parameters").at(1).at("value").get<double>() == Approx(20e-6).epsilon(1e-3));
  CHECK(fit.at("residual_rms_ohm").get<double>() < 0.05);
  const Run refused = folder.run("stile-sweep a.s1p --fit parallel-rlc --json");
  CHECK(refused.status == 1);
  CHECK(refused.err.find("stile-sweep: the model parallel-rlc is refused: ") == 0);
  CHECK(refused.json().at("fit").at("status") != "fitted");
}

TEST_CASE("sweep: two conditions compare in ohm, kilohertz and turns") {
  const Folder folder;
  folder.write("dry.s1p", series_file(7.10e6));
  folder.write("wet.s1p", series_file(7.05e6));
  const Run run = folder.run("stile-sweep dry.s1p --compare wet.s1p --coil 20,20uH --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto c = run.json().at("comparison").at(0);
  CHECK(c.at("second") == "wet.s1p");
  CHECK(c.at("resonances").at(0).at("moved_hz").get<double>() == Approx(-50e3).epsilon(0.01));
  CHECK(c.at("points").at(0).at("turns").size() == 2);
  const Run both = folder.run("stile-sweep dry.s1p wet.s1p");
  CHECK(both.out.find("wet.s1p against dry.s1p: moved ") != std::string::npos);
}

TEST_CASE("sweep: scatter is told from as many points as the help says") {
  const Folder folder;
  for (const int points : {8, 9}) {
    std::string text = "# MHz S RI R 50\n";
    for (int n = 0; n < points; ++n) text += fmt::format("{} {} 0\n", 7.0 + 0.01 * n, 0.1 + 0.001 * (n % 3));
    folder.write("points.s1p", text);
    CHECK(folder.run("stile-sweep points.s1p --json").json().at("files").at(0).at("random_error").is_null() ==
          (points == 8));
  }
  CHECK(folder.run("stile-sweep --help").out.find("(below 9) to tell scatter") != std::string::npos);
}

TEST_CASE("sweep: an uncertainty that is not known is not 0, and a second file's findings stand with the comparison") {
  const Folder folder;
  folder.write("few.s1p", "# MHz S RI R 50\n7 1e-1 0\n7.1 2e-1 0\n7.2 3e-1 0\n");
  folder.write("bad.s1p", "# MHz S RI R 50\n7 0.1 0\n7.1 1.02 0\n7.2 0.3 0\n");
  const Run run = folder.run("stile-sweep few.s1p --compare bad.s1p --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.json().at("files").at(0).at("random_error").is_null());
  CHECK(run.json().at("corrected").at(0).at("uncertainty_ohm").is_null());
  const auto c = run.json().at("comparison").at(0);
  CHECK(c.at("points").at(0).at("uncertainty_ohm").is_null());
  CHECK(c.at("caveats").dump().find("reflection above one") != std::string::npos);
  const Run text = folder.run("stile-sweep few.s1p --compare bad.s1p");
  CHECK(text.out.find("7 MHz      61.11   0       -") != std::string::npos);
  CHECK(text.out.find("reflection above one: line 3") != std::string::npos);
}

TEST_CASE("sweep: --band cuts standards, adapter and cable like the sweep itself") {
  const Folder folder;
  // 5 m of line, open, and above 30 MHz points that are no line's.
  REQUIRE(folder.run("stile-net --sweep 1MHz:30MHz:300 --load 1e9 --line RG-58,5m --touchstone cable.s1p").status == 0);
  folder.write("cable.s1p", programs::content(folder.file("cable.s1p")) + "31e6 0 0\n32e6 0 0\n33e6 0 0\n34e6 0 0\n");
  REQUIRE(folder.run("stile-net --sweep 5MHz:9MHz:21 --load 20 --line RG-58,5m --touchstone whip.s1p").status == 0);
  const Run spoiled = folder.run("stile-sweep whip.s1p --estimate-line cable.s1p --json");
  REQUIRE(spoiled.status == 0);
  CHECK(std::abs(spoiled.json().at("corrected").at(0).at("z_ohm").at(0).get<double>() - 20.0) > 0.1);
  const Run run = folder.run("stile-sweep whip.s1p --estimate-line cable.s1p --band 3MHz:30MHz --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.json().at("corrected").at(0).at("z_ohm").at(0).get<double>() == Approx(20.0).epsilon(1e-3));
  // Standards whose points do not fall on the band's edges reach over them; a jump far outside is no caveat.
  const auto standard = [](double s) {
    std::string text = "# MHz S RI R 50\n";
    for (const double f : {1.0, 4.9, 5.9, 6.9, 7.9, 9.9, 30.0})
      text += fmt::format("{} {:.6f} 0.000000\n", f, f < 2.0 ? 1.2 : s);
    return text;
  };
  folder.write("o.s1p", standard(0.99));
  folder.write("s.s1p", standard(-0.99));
  folder.write("m.s1p", standard(0.0));
  const std::string osl = "stile-sweep whip.s1p --open o.s1p --short s.s1p --match m.s1p --json";
  const auto above = [](const Run& r) {
    return r.json().at("caveats").dump().find("reflection above one") != std::string::npos;
  };
  const Run cut = folder.run(osl + " --band 5.5MHz:7.5MHz"), whole = folder.run(osl);
  INFO(cut.err);
  REQUIRE(cut.status == 0);
  REQUIRE(whole.status == 0);
  CHECK_FALSE(above(cut));
  CHECK(above(whole));
}

TEST_CASE("sweep: standards, an adapter's file, a port extension and another reference do what they say") {
  const Folder folder;
  const auto net = [&](const std::string& load, const std::string& parts, const std::string& file) {
    const Run run = folder.run("stile-net --sweep 5MHz:9MHz:21 --load " + load + parts + " --touchstone " + file);
    REQUIRE(run.status == 0);
  };
  const std::string line = " --line RG-58,3m";
  net("20+10j", line, "m.s1p");
  net("1e9", line, "o.s1p");
  net("1e-9", line, "s.s1p");
  net("50", line, "l.s1p");
  const auto z = [&](const std::string& options) {
    const Run run = folder.run("stile-sweep m.s1p --json " + options);
    INFO(options << "\n" << run.err);
    REQUIRE(run.status == 0);
    const auto point = run.json().at("corrected").at(10);
    return std::pair<double, double>(point.at("z_ohm").at(0), point.at("z_ohm").at(1));
  };
  const auto standards = z("--open o.s1p --short s.s1p --match l.s1p");
  CHECK(standards.first == Approx(20.0).epsilon(1e-5));
  CHECK(standards.second == Approx(10.0).epsilon(1e-5));
  // A lossless adapter of a tenth of a wave of 50 ohm at 7 MHz, and the same as a port extension: 0.1/7 us.
  std::string adapter = "# MHz S MA R 50\n", seen = "# MHz S MA R 50\n";
  for (int i = 0; i <= 20; ++i) {
    const double f = 5.0 + 0.2 * i, turn = 36.0 * f / 7.0;
    adapter += fmt::format("{:.1f} 0 0 1 {:.9f} 1 {:.9f} 0 0\n", f, -turn, -turn);
    seen += fmt::format("{:.1f} 0.500000000 {:.9f}\n", f, 60.0 - 2.0 * turn);
  }
  folder.write("adapter.s2p", adapter);
  folder.write("m.s1p", seen);
  // 0.5 at 60 degrees: 50 (1 + S)/(1 - S) = 50 + 57.735j.
  for (const std::string options : {"--remove-network adapter.s2p", "--extend 14.285714286ns"}) {
    const auto found = z(options);
    INFO(options);
    CHECK(found.first == Approx(50.0).epsilon(1e-6));
    CHECK(found.second == Approx(100.0 / std::sqrt(3.0)).epsilon(1e-6));
  }
  const Run other =
      folder.run("stile-sweep m.s1p --extend 14.285714286ns --renormalise 50-57.735026919j --waves power --json");
  INFO(other.err);
  REQUIRE(other.status == 0);
  const auto s = other.json().at("corrected").at(10).at("reflection");
  CHECK(std::hypot(s.at(0).get<double>(), s.at(1).get<double>()) <= 1e-6);
}

TEST_CASE("sweep: behind open, short and load the cable that is estimated is the one beyond them") {
  const Folder folder;
  const auto net = [&](const std::string& load, const std::string& parts, const std::string& file) {
    REQUIRE(folder.run("stile-net --sweep 3MHz:30MHz:271 --load " + load + parts + " --touchstone " + file).status ==
            0);
  };
  // 3 m lie between the instrument and the plane of the standards, 4 m behind it.
  const std::string box = " --line RG-58,3m", cable = box + " --line RG-58,4m";
  net("1e9", box, "o.s1p");
  net("1e-9", box, "s.s1p");
  net("50", box, "l.s1p");
  net("1e9", cable, "cable.s1p");
  net("20+10j", cable, "m.s1p");
  const Run run =
      folder.run("stile-sweep m.s1p --open o.s1p --short s.s1p --match l.s1p --estimate-line cable.s1p --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  CHECK(j.at("line").at("length_m").get<double>() == Approx(4.0).epsilon(1e-3));
  CHECK(j.at("corrected").at(40).at("z_ohm").at(0).get<double>() == Approx(20.0).epsilon(1e-3));
  CHECK(j.at("corrected").at(40).at("z_ohm").at(1).get<double>() == Approx(10.0).epsilon(1e-2));
}

TEST_CASE("sweep: a fit carries the findings, and the turns of a coil come from its geometry") {
  const Folder folder;
  folder.write("bad.s1p", series_file(7.1e6) + "8e6 1.02 0\n");
  const Run fit = folder.run("stile-sweep bad.s1p --band 6.8MHz:7.4MHz --fit series-rlc --json");
  INFO(fit.err);
  REQUIRE(fit.status == 0);
  CHECK(fit.json().at("fit").at("caveats").empty());
  folder.write("bad.s1p", series_file(7.1e6) + "7.41e6 1.02 0\n7.41e6 1.02 0\n");
  const Run text = folder.run("stile-sweep bad.s1p --band 6.8MHz:7.4MHz --fit series-rlc");
  CHECK(text.out.find("Holds with the findings of what it was fitted to: duplicate") != std::string::npos);
  folder.write("dry.s1p", series_file(7.10e6));
  folder.write("wet.s1p", series_file(7.05e6));
  const Run wound = folder.run("stile-sweep dry.s1p wet.s1p --coil-winding 40,50mm,1.5mm,1mm,22 --json");
  INFO(wound.err);
  REQUIRE(wound.status == 0);
  const auto turns = wound.json().at("comparison").at(0).at("points").at(30).at("turns");
  CHECK(turns.at(0) == turns.at(1));
  CHECK(turns.at(0).get<double>() < 0.0);
  CHECK(folder.run("stile-sweep dry.s1p wet.s1p --coil-winding 40,50mm").status == 2);
}

TEST_CASE("sweep: what is written reads back, with the findings as comments") {
  const Folder folder;
  folder.write("a.s1p", "# MHz S RI R 50\n1 1.02 0\n2 0.9 -0.1\n3 0.8 -0.2\n");
  REQUIRE(folder.run("stile-sweep a.s1p --touchstone b.s1p").status == 0);
  CHECK(programs::content(folder.file("b.s1p")).find("! finding: reflection above one: ") != std::string::npos);
  const auto first = folder.run("stile-sweep a.s1p --json").json().at("corrected");
  const auto second = folder.run("stile-sweep b.s1p --json").json().at("corrected");
  REQUIRE(second.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) CHECK(first.at(i).at("z_ohm") == second.at(i).at("z_ohm"));
  CHECK(folder.run("stile-net --frequency 2.5MHz --load-file b.s1p").status == 2);  // a gap, not joined
  CHECK(folder.run("stile-net --frequency 2MHz --load-file b.s1p").status == 0);
}

TEST_CASE("sweep: charts of each kind are drawn") {
  const Folder folder;
  folder.write("dry.s1p", series_file(7.10e6));
  folder.write("wet.s1p", series_file(7.05e6));
  for (const std::string& more :
       {std::string("impedance --remove RG-58,1m --fit series-rlc"), std::string("smith --fit series-rlc"),
        std::string("residual --fit series-rlc"), std::string("comparison --compare wet.s1p")}) {
    const Run run = folder.run("stile-sweep dry.s1p --chart a.svg --show " + more);
    INFO(more << "\n" << run.err);
    CHECK(
        run.status ==
        (more.find("--remove") == std::string::npos ? 0 : 1));  // without a cable that was not there: no series circuit
    chart_measure::check_chart(folder.file("a.svg"));
    programs::fs::remove(folder.file("a.svg"));
  }
  // Every file has its line, under its name.
  for (const std::string show : {"impedance", "smith"}) {
    folder.write("damp.s1p", series_file(7.07e6));
    const Run run =
        folder.run("stile-sweep dry.s1p wet.s1p --compare damp.s1p --remove RG-58,1m --chart a.svg --show " + show);
    INFO(show << run.err);
    REQUIRE(run.status == 0);
    const std::string svg = programs::content(folder.file("a.svg"));
    chart_measure::check_chart(folder.file("a.svg"));
    for (const char* text : {"dry.s1p, measured<", "dry.s1p, corrected<", "wet.s1p, corrected<", "damp.s1p, compared<",
                             "Measured: dry.s1p, wet.s1p, read by"})
      CHECK(svg.find(text) != std::string::npos);
  }
  CHECK(folder.run("stile-sweep dry.s1p --chart a.svg --show residual").status == 2);
  CHECK(folder.run("stile-sweep dry.s1p --chart a.svg --show nothing").status == 2);
}

TEST_CASE("sweep: wrong usage says what would be legal") {
  const Folder folder;
  folder.write("a.s1p", series_file(7.1e6));
  const auto refused = [&](const std::string& options, const std::string& part) {
    const Run run = folder.run("stile-sweep " + options);
    INFO(options << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(part) != std::string::npos);
  };
  refused("", "no sweep is given; legal: stile-sweep FILE.s1p");
  refused("a.s1p --fit rlc", "--fit: column 1: \"rlc\" is not a model; legal: series-rlc");
  refused("a.s1p --above-one scale", "--above-one scale says nothing alone; legal: beside --reference-error");
  refused("a.s1p --open a.s1p", "--open says nothing alone; legal: beside --short");
  refused("a.s1p --every-point", "--every-point says nothing alone; legal: beside --calibrate");
  refused("a.s1p --judge --fit coil", "--judge and --fit exclude each other");
  refused("a.s1p --remove-network a.s1p", "an adapter has two ports, this file has 1");
  refused("a.s1p --open a.s1p --short a.s1p --match a.s1p", "two of the three standards read the same");
  refused("none.s1p", "none.s1p: cannot be read: No such file");
}

TEST_CASE("sweep: an antenna of wires is calibrated, and the file it writes shows what was measured") {
  const Folder folder;
  const auto wires = [](const std::string& ground, const std::string& stray) {
    return "ground = " + ground +
           "\n[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.0], [0, 0, 4.0]]\nradius = \"2 mm\"\n" +
           "metal = \"stainless steel\"\n[[wire]]\nname = \"counterpoise\"\n" +
           "points = [[0, 0, 1.0], [1.0, 0, 0.05], [6.5, 0, 0.05]]\nradius = \"1 mm\"\nmetal = \"copper\"\n" +
           "[feed]\ngap = \"10 mm\"\nbase_capacitance = \"" + stray + "\"\n";
  };
  folder.write("truth.toml", wires("\"average\"", "6 pF"));
  folder.write("drawn.toml", wires("{ relative_permittivity = 20, conductivity = \"1 mS/m\" }", "0 pF"));
  const std::string bands = " --sweep 5.2MHz:5.4MHz:4 --sweep 7MHz:7.2MHz:4 --sweep 14MHz:14.3MHz:4 --fast ";
  REQUIRE(folder.run("stile-whip truth.toml" + bands + "--touchstone m.s1p -o a.txt").status == 0);
  const Run run = folder.run(
      "stile-sweep m.s1p --condition 'as drawn' --calibrate drawn.toml --fast --write-wires out.toml --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto c = run.json().at("calibration");
  CHECK(c.at("status") == "fitted");
  CHECK(c.at("conditions").at(0).at("relative_permittivity").at("value").get<double>() == Approx(13.0).epsilon(1e-3));
  CHECK(c.at("conditions").at(0).at("conductivity_s_m").at("value").get<double>() == Approx(5e-3).epsilon(1e-3));
  CHECK(c.at("base_capacitance_f").at("value").get<double>() == Approx(6e-12).epsilon(1e-3));
  CHECK(c.at("conditions").at(0).at("misfit_drawn").get<double>() > 0.01);
  const auto feed = [&](const std::string& file) {
    return folder.run("stile-whip " + file + " --frequency 7.1MHz --fast --json")
        .json()
        .at("points")
        .at(0)
        .at("feed_ohm");
  };
  const auto truth = feed("truth.toml"), calibrated = feed("out.toml");
  for (const std::size_t part : {std::size_t{0}, std::size_t{1}})
    CHECK(calibrated.at(part).get<double>() == Approx(truth.at(part).get<double>()).epsilon(1e-4));
  // Ten frequencies of one band, of which a few are solved, or each.
  const std::string wide = " --sweep 7MHz:7.2MHz:10 --sweep 14MHz:14.3MHz:4 --fast --every-point ";
  REQUIRE(folder.run("stile-whip truth.toml" + wide + "--touchstone w.s1p -o w.txt").status == 0);
  const std::string command =
      "stile-sweep w.s1p --condition 'as drawn' --calibrate drawn.toml --fast --points 14 --json";
  const Run few = folder.run(command), each = folder.run(command + " --every-point");
  CHECK(few.out != each.out);
  for (const Run* one : {&few, &each}) {
    const auto soil = one->json().at("calibration").at("conditions").at(0);
    CHECK(soil.at("relative_permittivity").at("value").get<double>() == Approx(13.0).epsilon(1e-3));
    CHECK(soil.at("conductivity_s_m").at("value").get<double>() == Approx(5e-3).epsilon(1e-3));
  }
  const Run none = folder.run("stile-sweep m.s1p --condition wet --calibrate drawn.toml --fast");
  CHECK(none.status == 2);
  CHECK(none.err.find("\"wet\" is not a condition of the wires; there are: as drawn") != std::string::npos);
}

TEST_CASE("sweep: a log against the sweep of its condition, its alternations, and how many are needed") {
  const Folder folder;
  folder.write("lying.csv", "frequency_mhz,r_ohm,x_ohm\n7.0,100.001,0.001\n7.1,100.001,0.001\n7.2,100.001,0.001\n");
  folder.write("log.csv", "frequency_mhz,condition,state,swr,report_db\n7.1,lying,coil,2.5,-10\n7.1,lying,tuner,,-13\n"
                          "7.1,lying,coil,,-11\n7.1,lying,tuner,,-14.5\n7.1,lying,coil,,-9\n7.1,lying,tuner,,-11.5\n");
  const Run run = folder.run("stile-sweep lying.csv --log log.csv --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  REQUIRE(j.at("log").size() == 1);
  CHECK(j.at("log").at(0).at("line") == 2);
  CHECK(j.at("log").at(0).at("predicted_swr").get<double>() == Approx(2.0).epsilon(1e-4));
  CHECK(j.at("alternations").at("difference_db").at("value").get<double>() == Approx(3.0).epsilon(1e-9));
  // Three states: said, and the rest of the log is there.
  folder.write("three.csv", "frequency_mhz,condition,state,swr,report_db\n7.1,lying,a,2.5,-10\n7.1,lying,b,,-13\n"
                            "7.1,lying,c,,-11\n");
  const Run three = folder.run("stile-sweep lying.csv --log three.csv --json");
  INFO(three.err);
  REQUIRE(three.status == 0);
  CHECK(three.json().at("log").size() == 1);
  CHECK(three.json().at("alternations").at("judged") == false);
  CHECK(three.json().at("alternations").at("difference_db").is_null());
  const Run needed = folder.run("stile-sweep --detect 2dB,4dB --json");
  INFO(needed.err);
  REQUIRE(needed.status == 0);
  CHECK(needed.json().at("needed").at("pairs") == 34);
  CHECK(folder.run("stile-sweep --detect 2dB").status == 2);
}

TEST_CASE("sweep: what a measurement teaches, with and without a sweep") {
  const Folder folder;
  folder.write("a.s1p", series_file(7.1e6));
  const Run sweep = folder.run("stile-sweep a.s1p --radiation 7.1MHz,9ohm,1ohm --json");
  INFO(sweep.err);
  REQUIRE(sweep.status == 0);
  const auto j = sweep.json();
  CHECK(j.at("resonances").at(0).at("frequency_hz").get<double>() == Approx(7.1e6).epsilon(1e-4));
  CHECK(j.at("resonances").at(0).at("q").get<double>() == Approx(6.283185307 * 7.1e6 * 20e-6 / 12.0).epsilon(0.01));
  CHECK(j.at("feed_loss").at("loss_ohm").at("value").get<double>() == Approx(3.0).margin(0.02));
  // 22 uH with 2.5 pF of its own: 21.459 MHz alone, 3.3515 MHz with 100 pF.
  const Run coil =
      folder.run("stile-sweep --coil-resonances 21.46054MHz,0pF,3.351556MHz,100pF --tuner-swr 1.7,1.7 --json");
  INFO(coil.err);
  REQUIRE(coil.status == 0);
  CHECK(coil.json().at("coil").at("inductance_h").at("value").get<double>() == Approx(22e-6).epsilon(1e-4));
  CHECK(coil.json().at("coil").at("self_capacitance_f").at("value").get<double>() == Approx(2.5e-12).epsilon(1e-3));
  CHECK(coil.json().at("tuner_loss_db").at("value").get<double>() == Approx(1.09144).epsilon(1e-5));
  folder.write("bank.csv",
               "relay,frequency_mhz,inductance_h,r_ohm,x_ohm\n,7,,0.4,2\nK1,7,1e-7,0.5,6.398\nK2,7,2e-7,0.4,2.1\n");
  const Run relays = folder.run("stile-sweep --relays bank.csv --json");
  CHECK(relays.status == 1);
  CHECK(relays.err == "stile-sweep: K2 does not switch\n");
  CHECK(relays.json().at("relays").at(0).at("state") == "works");
  folder.write("b.s2p", "# MHz S RI R 50\n1 0.001 0 0.142857142857 0 0 0 0 0\n2 0.6 0 0.1 0 0 0 0 0\n");
  const auto two = folder.run("stile-sweep b.s2p --series-at-port2 2400 --json").json().at("two_port");
  CHECK(two.at(1).at("loss_db").get<double>() == Approx(10.0 * std::log10(0.64 / 0.49)).epsilon(1e-9));
  CHECK(folder.run("stile-sweep --tuner-swr 1.7").status == 2);
}
