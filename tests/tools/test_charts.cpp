// Charts of stile-net and stile-match: files appear whole, in each format, or not at all.

#include "plots/chart_measure.hpp"
#include "programs.hpp"

using programs::Folder;
using programs::Run;

TEST_CASE("charts are drawn in every format asked for") {
  const Folder folder;
  for (const std::string& command :
       std::vector<std::string>{"stile-net --frequency 7.1MHz --load 20-300j --series L=7uH,Q=200 --shunt C=470pF "
                                "--line RG-58,2m --transformer 2:1",
                                "stile-net --sweep 7MHz:7.2MHz:21 --load 20-300j --series L=7uH,Q=200",
                                "stile-match --frequency 7.1MHz --load 20-300j --solution 2",
                                "stile-match --frequency 7.1MHz --load 26-375j --load 38-343j --one-setting"}) {
    const Run run = folder.run(command + " --chart a.png --chart a.SVG --chart=a.pdf");
    INFO(command << "\n" << run.err);
    CHECK(run.status == 0);
    CHECK(run.err.empty());
    CHECK(!run.out.empty());
    CHECK(folder.names() == std::vector<std::string>{"a.SVG", "a.pdf", "a.png"});
    CHECK(programs::content(folder.file("a.png")).find("\x89PNG") == 0);
    CHECK(programs::content(folder.file("a.pdf")).find("%PDF-") == 0);
    chart_measure::check_chart(folder.file("a.SVG"));
    for (const std::string& name : folder.names()) programs::fs::remove(folder.file(name));
  }
}

TEST_CASE("the band of a match is drawn with what tolerances do to it") {
  const Folder folder;
  const std::string match = "stile-match --frequency 10.125MHz --load 20-300j --inductor-q 200 --show band --chart ";
  REQUIRE(folder.run(match + "exact.svg").status == 0);
  const std::string exact = programs::content(folder.file("exact.svg"));
  chart_measure::check_chart(folder.file("exact.svg"));
  CHECK(exact.find("matched at 10.125 MHz: within SWR 2 from ") != std::string::npos);
  CHECK(exact.find("Grey: the band of what is built.") != std::string::npos);
  CHECK(exact.find("worst set") == std::string::npos);
  REQUIRE(folder.run(match + "real.svg --tolerance 5%").status == 0);
  const std::string real = programs::content(folder.file("real.svg"));
  chart_measure::check_chart(folder.file("real.svg"));
  CHECK(real.find("95 of 100 sets are not above: coils 5 % off") != std::string::npos);  // there is no capacitor
  CHECK(real.find("worst set") != std::string::npos);
  REQUIRE(folder.run(match + "both.svg --tolerance 5% --solution 3").status == 0);
  CHECK(programs::content(folder.file("both.svg")).find("are not above: coils 5 %, capacitors 5 % off") !=
        std::string::npos);
  const Run other = folder.run("stile-match --frequency 10.125MHz --load 20-300j --show map --chart a.svg");
  CHECK(other.status == 2);
  CHECK(other.err.find("--show \"map\": there is no such chart; legal: path, band") != std::string::npos);
}

TEST_CASE("titles give a frequency with all its digits, and an exact match is 50 ohm") {
  const Folder folder;
  REQUIRE(folder.run("stile-match --frequency 10.125MHz --load 20-300j --inductor-q 200 --chart a.svg").status == 0);
  const std::string svg = programs::content(folder.file("a.svg"));
  CHECK(svg.find("From load to transmitter at 10.125 MHz") != std::string::npos);
  CHECK(svg.find("input 50 ohm") != std::string::npos);
  // All that were given, in the table as well; and what rounding leaves of a reactance is none.
  const Run net =
      folder.run("stile-net --frequency 7.1234567MHz --load 50-1.388e-13j --series L=7uH,Q=200 --chart b.svg");
  REQUIRE(net.status <= 1);
  CHECK(net.out.find("into 50 ohm at 7.1234567 MHz") != std::string::npos);
  const std::string path = programs::content(folder.file("b.svg"));
  CHECK(path.find("From load to transmitter at 7.1234567 MHz") != std::string::npos);
  CHECK(path.find("Load: 50 ohm.") != std::string::npos);
  const Run match = folder.run("stile-match --frequency 7.1234567MHz --load 26-375j --load 38-343j --one-setting");
  CHECK(match.out.find("7.1234567 MHz") != std::string::npos);
}

TEST_CASE("a chart that cannot be drawn is status 2 with nothing on standard output") {
  const Folder folder;
  const auto refused = [&](const std::string& command, const char* part) {
    const Run run = folder.run(command);
    INFO(command << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(programs::lines(run.err) == 1);
    CHECK(run.err.find(part) != std::string::npos);
  };
  const std::string net = "stile-net --frequency 7.1MHz --load 20-300j --series L=7uH ";
  refused(net + "--chart a.jpg",
          "stile-net: --chart \"a.jpg\": no such kind of chart; legal: FILE.png FILE.svg FILE.pdf");
  refused(net + "--chart none/a.png", "stile-net: none/a.png: cannot be written: No such file or directory");
  refused("stile-match --frequency 7.1MHz --load 20-300j --solution 9 --chart a.png",
          "--solution 9: there is no such solution; legal: 1..4");
  CHECK(folder.names().empty());
}

TEST_CASE("without gnuplot the script stays and the tool says how to draw it") {
  const Folder folder;
  const Run run = folder.run("PATH='" STILE_TOOLS_FOLDER
                             "' stile-net --frequency 7.1MHz --load 20-300j --series L=7uH --chart a.png");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(!run.out.empty());
  CHECK(run.err.find("stile-net: warning: gnuplot is not installed; the chart's script is ") == 0);
  CHECK(folder.names() == std::vector<std::string>{"a.gp"});
  const std::string again = "PATH='" STILE_TOOLS_FOLDER "' stile-net --frequency 7.1MHz --load 20-300j --chart ";
  CHECK(folder.run(again + "a.svg -o again.txt").status == 0);  // a script of ours is replaced
  folder.write("notes.gp", "plot 'mine'\n");
  const Run other = folder.run(again + "notes.png -o lost.txt");
  CHECK(other.status == 2);
  CHECK(other.err.find("stile-net: notes.gp: is there and is no chart's script") == 0);
  CHECK(programs::content(folder.file("notes.gp")) == "plot 'mine'\n");
  CHECK(folder.names() == std::vector<std::string>{"a.gp", "again.txt", "notes.gp"});
  const std::string command = run.err.substr(run.err.find("render it with: ") + 16);
  CHECK(folder.run(command).status == 0);
  CHECK(programs::content(folder.file("a.png")).find("\x89PNG") == 0);
}
