using TestRig.Bench.Recordings;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Recordings;

public class VcdReaderTests
{
    /// <summary>The extended vectors follow from the rule of 18.2.1.</summary>
    [Fact]
    public void The_example_of_the_standard_is_read_value_by_value()
    {
        using var reader = DumpText.Reader(ClauseExample.Text);
        var (header, zeros, unknown) = (reader.Header, new string('0', 18), new string('x', 32));
        Assert.Equal(("June 26, 1989 10:05:41", "VERILOG-SIMULATOR 1.0a", 1, "ns"), (header.Date, header.Version, header.Timescale.Number, header.Timescale.Unit));
        Assert.Equal(
            ["top.m1.net1", "top.m1.net2", "top.m1.net3", "top.t1.accumulator", "top.t1.index"],
            header.Variables.Select(variable => variable.Path));
        Assert.Equal((31, 0), header.Variables[3].Range);
        Assert.Equal(
            [
                "500 0 x", "500 1 x", "500 2 x", $"500 3 {unknown}", $"500 4 {unknown}",
                "505 0 0", "505 1 1", "505 2 1", $"505 3 {zeros}10zx1110x11100", $"505 4 {zeros}1111000101z01x",
                "510 2 0", "520 2 1", "530 2 0", $"530 3 {new string('z', 32)}",
                "535 0 0", "535 1 1", "535 2 0", $"535 3 {new string('z', 32)}", $"535 4 {zeros}1111000101z01x",
                "off", "1000 0 x", "1000 1 x", "1000 2 x", $"1000 3 {unknown}", $"1000 4 {unknown}",
                "2000 0 z", "2000 1 1", "2000 2 0", $"2000 3 {new string('0', 32)}", $"2000 4 {unknown}", "2010 2 1",
            ],
            DumpText.Events(reader));
    }

    /// <summary>The table of shortened vectors in IEEE 1364-2005 18.2.1 (value from memory), read back to four bits.</summary>
    [Theory]
    [InlineData("b10", "0010")]
    [InlineData("bX10", "xx10")]
    [InlineData("bZX0", "zzx0")]
    [InlineData("b0X10", "0x10")]
    [InlineData("B1", "0001")]
    [InlineData("bz", "zzzz")]
    public void A_shortened_vector_is_extended_to_the_left(string written, string meant)
    {
        using var reader = DumpText.Reader(DumpText.Of("$var reg 4 ! r [3:0] $end", $"#0\n{written} !"));
        Assert.Equal([$"0 0 {meant}"], DumpText.Events(reader));
    }

    public static TheoryData<string, string, long> Timescales()
    {
        var all = new TheoryData<string, string, long>();
        foreach (var (unit, femtoseconds) in ((string, UInt128)[])[("s", 1_000_000_000_000_000), ("ms", 1_000_000_000_000), ("us", 1_000_000_000), ("ns", 1_000_000), ("ps", 1_000), ("fs", 1)])
        {
            foreach (var number in (int[])[1, 10, 100])
            {
                // Seven steps, in whole picoseconds; what lies between two is rounded up.
                var picoseconds = (long)(((7 * (UInt128)number * femtoseconds) + 999) / 1000);
                all.Add($"{number} {unit}", $"{number}{unit}", picoseconds);
            }
        }
        return all;
    }

    [Theory]
    [MemberData(nameof(Timescales))]
    public void Every_timescale_of_the_standard_is_exact(string apart, string joined, long picoseconds)
    {
        foreach (var written in (string[])[apart, joined])
        {
            using var reader = DumpText.Reader($"$timescale {written} $end $enddefinitions $end");
            Assert.Equal(new Instant(picoseconds), reader.Header.Timescale.At(7));
        }
    }

    [Theory]
    [InlineData("2 ns")]
    [InlineData("1000 ns")]
    [InlineData("1 min")]
    [InlineData("ns")]
    [InlineData("1")]
    [InlineData("1.0 ns")]
    [InlineData("1 NS")]
    public void Another_timescale_is_refused(string written) =>
        Assert.Equal(1, Assert.Throws<RecordingException>(() => DumpText.Reader($"$timescale {written} $end\n$enddefinitions $end")).Line);

    /// <summary>Any printable characters make a code (18.2.1): those of keywords, of times, of values and of vectors too.</summary>
    [Fact]
    public void A_code_may_look_like_anything()
    {
        string[] codes = ["$end", "$", "#", "#5", "0", "1", "b0", "b1010", "r1", "x", "$dumpoff", "$comment", "\\", "[3]", "!", "~~~", "longer-than-eight"];
        var declared = string.Join('\n', codes.Select((code, index) => $"$var wire 1 {code} n{index} $end"));
        var values = string.Join('\n', codes.Select(code => $"1{code}").Concat(codes.Select(code => $"b0 {code}")));
        using var reader = DumpText.Reader(DumpText.Of(declared, $"#3\n{values}"));
        Assert.Equal(
            [.. codes.Select((_, index) => $"3 {index} 1"), .. codes.Select((_, index) => $"3 {index} 0")],
            DumpText.Events(reader));
    }

    [Fact]
    public void Comments_and_keywords_of_other_programs_are_passed_over_wherever_they_stand()
    {
        using var reader = DumpText.Reader("$comment #1 1! $dumpvars $end $timescale 1 ns $end $made_by us $end $comment $end $var wire 1 ! a $end $enddefinitions $end $comment 0! $end #4 $comment #9 $end $mark 1 2 $end 1! #5 $dumpall $comment 0! $end 0! $end");
        Assert.Equal("$made_by", Assert.Single(reader.Header.Skipped));
        Assert.Equal(["4 0 1", "5 0 0"], DumpText.Events(reader));
    }

    [Theory]
    [InlineData("wire 1 ! \\U3.18 $end", "U3.18", null, null, "U3.18")]
    [InlineData("wire 1 ! \\a[1] $end", "a[1]", null, null, "a[1]")]
    [InlineData("reg 8 ! port[7:0] $end", "port", 7, 0, "port")]
    [InlineData("reg 8 ! port [7:0] $end", "port", 7, 0, "port")]
    [InlineData("reg 8 ! port [ 0 : 7 ] $end", "port", 0, 7, "port")]
    [InlineData("reg 1 ! port [3] $end", "port", 3, 3, "port[3]")]
    [InlineData("reg 2 ! p[-1:0] $end", "p", -1, 0, "p")]
    [InlineData("real 64 ! volts $end", "volts", null, null, "volts")]
    public void A_reference_may_be_escaped_and_have_a_range(string declared, string name, int? most, int? least, string path)
    {
        using var reader = DumpText.Reader(DumpText.Of($"$var {declared}", ""));
        var variable = Assert.Single(reader.Header.Variables);
        Assert.Equal((name, most, least, path), (variable.Name, variable.Range?.Most, variable.Range?.Least, variable.Path));
    }

    [Theory]
    [InlineData(7, 0, 7, 0)]
    [InlineData(7, 0, 0, 7)]
    [InlineData(0, 7, 7, 7)]
    [InlineData(4, 1, 4, 0)]
    [InlineData(4, 1, 0, null)]
    public void A_bit_is_counted_from_the_most_significant_one(int most, int least, int bit, int? place) =>
        Assert.Equal(place, new VcdVariable("", "reg", Math.Abs(most - least) + 1, "p", (most, least), 0).PlaceOf(bit));

    [Fact]
    public void Reals_are_numbers_of_any_form_and_no_number_where_they_are_none()
    {
        using var reader = DumpText.Reader(DumpText.Of("$var real 64 ! v $end", "#0 r4.75 ! r-1e-3 ! R5 ! rnan ! r-inf !"));
        Assert.Equal(["0 0 4.75", "0 0 -0.001", "0 0 5", "0 0 NaN", "0 0 NaN"], DumpText.Events(reader));
    }

    [Fact]
    public void Variables_that_share_a_code_are_one()
    {
        using var reader = DumpText.Reader(DumpText.Of("$scope module a $end $var wire 1 ! x $end $scope module b $end $var wire 1 ! y $end $upscope $end $upscope $end $var wire 1 \" z $end", "#0 1! 0\""));
        Assert.Equal([("a.x", 0), ("a.b.y", 0), ("z", 1)], reader.Header.Variables.Select(variable => (variable.Path, variable.Code)));
        Assert.Equal(["0 0 1", "0 1 0"], DumpText.Events(reader));
    }

    /// <summary>Of the extended form (18.3) the states of ports, each direction's own letters; strengths tell no level.</summary>
    [Fact]
    public void Ports_have_a_level_by_their_state()
    {
        using var reader = DumpText.Reader("$timescale 1 ns $end $var port [3:0] <0 bus $end $enddefinitions $end #1 $dumpports pDUNZ 6 6 <0 $end #2 pLHXT 0 6 <0");
        Assert.Equal(["1 0 01xz", "2 0 01xz"], DumpText.Events(reader));
    }

    /// <summary>Each with the line in which it stands, counted from 1; the header of these is of three lines.</summary>
    [Theory]
    [InlineData("#5\n#4", 5, "goes back")]
    [InlineData("#5\n1\n", 5, "no identifier code")]
    [InlineData("#5\n1?", 5, "no variable")]
    [InlineData("#5\nb102 !", 5, "no digit")]
    [InlineData("#5\nb !", 5, "without digits")]
    [InlineData("#5\nb11 !", 5, "2 digits for a variable of 1 bits")]
    [InlineData("#5\nb1", 6, "the file ends")]
    [InlineData("#5\nr1.5 !", 5, "no real")]
    [InlineData("#5\nb1 %", 5, "is a real")]
    [InlineData("#5\nr1.5.5 %", 5, "no real number")]
    [InlineData("#5\n#", 5, "no time")]
    [InlineData("#-5", 4, "no time")]
    [InlineData("#18446744073709551616", 4, "no time")]
    [InlineData("#1.5", 4, "no time")]
    [InlineData("hello", 4, "'hello' stands here")]
    [InlineData("$dumpvars\n1!\n", 7, "the file ends within the block that $dumpvars began in line 4")]
    [InlineData("$end", 4, "nothing was begun")]
    [InlineData("$dumpvars\n$dumpoff", 5, "within the block")]
    [InlineData("\n$comment\nno end", 7, "stands in line 5")]
    [InlineData("$var wire 1 ? b $end", 4, "behind $enddefinitions")]
    [InlineData("#1\n1!\0", 5, "'?' stands here")]
    public void A_mistake_among_the_values_is_told_with_its_line(string values, long line, string what)
    {
        using var reader = DumpText.Reader(DumpText.Of("$var wire 1 ! a $end $var real 64 % v $end", values));
        var wrong = Assert.Throws<RecordingException>(() => DumpText.Events(reader));
        Assert.Contains(what, wrong.Message, StringComparison.Ordinal);
        Assert.Equal(line, wrong.Line);
        Assert.StartsWith($"some.vcd:{line}: ", wrong.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", 1, "the file ends")]
    [InlineData("\n\nhello", 3, "'hello' stands among the declarations")]
    [InlineData("$timescale 1 ns $end\n$var wire 0 ! a $end", 2, "'0' is no size")]
    [InlineData("$timescale 1 ns $end\n$var wire one ! a $end", 2, "'one' is no size")]
    [InlineData("$timescale 1 ns $end\n$var wire 99999999999999999999 ! a $end", 2, "is no size")]
    [InlineData("$var wire 1 ! a $end\n$var wire 2 ! b $end", 2, "another size")]
    [InlineData("$var wire 1 ! a [x] $end", 1, "'[x]' is no range")]
    [InlineData("$var wire 1 ! a", 1, "the file ends")]
    [InlineData("$upscope $end", 1, "none is open")]
    [InlineData("$enddefinitions $end", 1, "no $timescale")]
    [InlineData("$timescale 1 ns $end\n$scope module a $end", 2, "the file ends")]
    [InlineData("$timescale 1 ns $end\n$var wire 1 \u00e9 a $end", 2, "no identifier code")]
    public void A_mistake_among_the_declarations_is_told_with_its_line(string text, long line, string what)
    {
        var wrong = Assert.Throws<RecordingException>(() => DumpText.Reader(text));
        Assert.Contains(what, wrong.Message, StringComparison.Ordinal);
        Assert.Equal(line, wrong.Line);
    }

    /// <summary>Words cross the ends of what is read at once: a stream that gives one byte at a time gives the same.</summary>
    [Fact]
    public void How_the_file_comes_makes_no_difference()
    {
        var text = DumpText.Of("$var reg 70000 ! wide $end $var wire 1 \" narrow $end", $"#1\nb{string.Concat(Enumerable.Repeat("10xz", 17_500))} !\n1\"\n#2\nb1 !\n0\"\n");
        using var whole = DumpText.Reader(text);
        using var dribble = new VcdReader(new OneByteStream(System.Text.Encoding.ASCII.GetBytes(text)), "some.vcd");
        Assert.Equal(DumpText.Events(whole), DumpText.Events(dribble));
        Assert.Equal(text.Length, dribble.Position);
    }

    private sealed class OneByteStream(byte[] content) : MemoryStream(content)
    {
        public override int Read(byte[] buffer, int offset, int count) => base.Read(buffer, offset, Math.Min(1, count));
    }
}
