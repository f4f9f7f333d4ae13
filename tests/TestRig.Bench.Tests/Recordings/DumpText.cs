using System.Text;
using TestRig.Bench.Recordings;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>A dump written out, and what the reader makes of it.</summary>
internal static class DumpText
{
    public static VcdReader Reader(string text) => new(new MemoryStream(Encoding.Latin1.GetBytes(text)), "some.vcd");

    /// <summary>A dump of these variables on a scale of 1 ns.</summary>
    public static string Of(string variables, string values) => $"$timescale 1 ns $end\n{variables}\n$enddefinitions $end\n{values}\n";

    /// <summary>Every change as "time code-index value", a vector's bits from the most significant one; "off" of a $dumpoff.</summary>
    public static List<string> Events(VcdReader reader)
    {
        var told = new List<string>();
        while (true)
        {
            switch (reader.Read())
            {
                case VcdEvent.End:
                    return told;
                case VcdEvent.Off:
                    told.Add("off");
                    break;
                case VcdEvent.Change:
                    told.Add($"{reader.Time} {reader.Code} {Value(reader)}");
                    break;
                default:
                    break;
            }
        }
    }

    private static string Value(VcdReader reader)
    {
        var variable = reader.Header.Variables.First(variable => variable.Code == reader.Code);
        return variable.IsReal
            ? reader.Real.ToString("R", System.Globalization.CultureInfo.InvariantCulture)
            : string.Concat(Enumerable.Range(0, variable.Size).Select(place => "01xz"[(int)reader.Bit(place)]));
    }
}
