using System.Buffers.Text;
using System.Collections.Immutable;
using System.Globalization;
using System.Text;

namespace TestRig.Bench.Recordings;

/// <summary>
/// Reads a value change dump as it streams by: IEEE 1364-2005 clause 18, four-state (18.1 and 18.2), and of the extended form (18.3) the ports' states without their strengths. However long the file
/// is, what it takes of memory is one buffer and the declarations.
/// </summary>
/// <remarks>
/// A word is told by its place, not by its look: `$`, `#` and the rest of the printable characters are legal in identifier codes, so that in "1$end" or "b0 #5" nothing ends and no time passes.
/// </remarks>
public sealed class VcdReader : IDisposable
{
    /// <summary>Of a date, a version, a comment: so many characters are kept.</summary>
    private const int MostText = 2_000;

    /// <summary>Codes of one or two printable characters, the usual ones, are looked up in a table.</summary>
    private const int FirstCode = 33, CodeCharacters = 94;

    private readonly string _file;
    private readonly VcdTokens _tokens;
    private readonly int[] _shortCodes = new int[CodeCharacters * (CodeCharacters + 1)];
    private readonly Dictionary<string, int> _longCodes = [];
    private readonly Dictionary<string, int>.AlternateLookup<ReadOnlySpan<char>> _longCodeOf;
    private readonly List<(int Size, bool Real)> _codes = [];
    private byte[] _value = new byte[64];
    private int _digits;
    private ulong _steps;
    private (string Keyword, long Line)? _block;
    private bool _timed;

    /// <summary>Reads the declarations.</summary>
    /// <param name="stream">Stays the caller's.</param>
    /// <param name="file">Its name, for messages.</param>
    /// <exception cref="RecordingException">It is no value change dump, or one with a mistake in its declarations.</exception>
    public VcdReader(Stream stream, string file)
    {
        _file = file;
        _tokens = new(stream, file);
        _longCodeOf = _longCodes.GetAlternateLookup<ReadOnlySpan<char>>();
        Array.Fill(_shortCodes, -1);
        Header = ReadHeader();
    }

    public VcdHeader Header { get; }

    /// <summary>Line of what was read last, 1-based.</summary>
    public long Line => _tokens.Line;

    /// <summary>Bytes of the file that were read.</summary>
    public long Position => _tokens.Position;

    /// <summary>In steps of the timescale; 0 before the first time that the file tells.</summary>
    public ulong Time => _steps;

    /// <summary>Whose value changed, as an index below <see cref="VcdHeader.Codes"/>.</summary>
    public int Code { get; private set; }

    /// <summary>The value of a real.</summary>
    public double Real { get; private set; }

    /// <summary>The last remark among the values, with one blank between its words; not more than some lines of it.</summary>
    public string Comment { get; private set; } = "";

    /// <summary>One bit of the value that changed, left-extended to the variable's size: by 0 where its first digit is 0 or 1, else by that digit (clause 18.2.1).</summary>
    /// <param name="place">0 is the most significant bit; below the variable's size.</param>
    public FourState Bit(int place)
    {
        var digit = place - (_codes[Code].Size - _digits);
        return digit >= 0 ? Of(_value[digit]) : Of(_value[0]) is var first and (FourState.X or FourState.Z) ? first : FourState.Zero;
    }

    /// <summary>Goes on to what the file tells next.</summary>
    /// <exception cref="RecordingException">What stands there is none of what may stand there, or the file ends in the middle of something.</exception>
    public VcdEvent Read()
    {
        while (true)
        {
            var word = _tokens.Next();
            if (word.IsEmpty)
            {
                return _block is var (keyword, line)
                    ? throw Wrong($"the file ends within the block that {keyword} began in line {line.ToString(CultureInfo.InvariantCulture)}", "it was cut off: record it again, or end it behind the last whole value and write '$end'")
                    : VcdEvent.End;
            }
            switch (word[0])
            {
                case (byte)'#':
                    ReadTime(word);
                    return VcdEvent.Time;
                case (byte)'0' or (byte)'1' or (byte)'x' or (byte)'X' or (byte)'z' or (byte)'Z':
                    if (word.Length == 1)
                        throw Wrong($"the value '{(char)word[0]}' has no identifier code", "write the code right behind the value, without a blank: '1!'");
                    _value[0] = word[0];
                    _digits = 1;
                    ChangeOf(word[1..], real: false);
                    return VcdEvent.Change;
                case (byte)'b' or (byte)'B':
                    ReadVector(word);
                    return VcdEvent.Change;
                case (byte)'r' or (byte)'R':
                    ReadReal(word);
                    return VcdEvent.Change;
                case (byte)'p':
                    ReadPorts(word);
                    return VcdEvent.Change;
                case (byte)'$':
                    if (ReadCommand(word) is { } told)
                        return told;
                    continue;
                default:
                    throw Wrong($"'{RecordingException.Shown(word)}' stands here", "a value change is expected (0, 1, x or z with a code, b… or r… and a code), a time (#…) or a $keyword");
            }
        }
    }

    public void Dispose() => _tokens.Dispose();

    private static FourState Of(byte digit) => digit switch
    {
        (byte)'0' => FourState.Zero,
        (byte)'1' => FourState.One,
        (byte)'x' or (byte)'X' => FourState.X,
        _ => FourState.Z,
    };

    private void ReadTime(ReadOnlySpan<byte> word)
    {
        if (!Utf8Parser.TryParse(word[1..], out ulong steps, out var used) || used != word.Length - 1 || word[1] == '+')
            throw Wrong($"'{RecordingException.Shown(word)}' is no time", "a whole number of steps is expected behind '#', below 2^64: '#1500'");
        if (_timed && steps < _steps)
            throw Wrong($"the time goes back from {_steps.ToString(CultureInfo.InvariantCulture)} to {steps.ToString(CultureInfo.InvariantCulture)}", "times ascend in a value change dump; were two files put together?");
        (_steps, _timed) = (steps, true);
    }

    private void ReadVector(ReadOnlySpan<byte> word)
    {
        var digits = word[1..];
        if (digits.IsEmpty)
            throw Wrong("'b' stands here without digits", "write 0, 1, x or z right behind it: 'b10x !'");
        foreach (var digit in digits)
        {
            if (digit is not ((byte)'0' or (byte)'1' or (byte)'x' or (byte)'X' or (byte)'z' or (byte)'Z'))
                throw Wrong($"'{(char)(digit is > 32 and < 127 ? digit : (byte)'?')}' in '{RecordingException.Shown(word)}' is no digit of a vector", "0, 1, x and z are: 'b10x !'");
        }
        Keep(digits);
        var line = _tokens.Line;
        ChangeOf(NextOr("an identifier code is expected behind a vector: 'b10x !'"), real: false);
        var size = _codes[Code].Size;
        if (_digits > size)
            throw new RecordingException(_file, line, $"{_digits.ToString(CultureInfo.InvariantCulture)} digits for a variable of {size.ToString(CultureInfo.InvariantCulture)} bits", "a vector has at most as many digits as its $var has bits");
    }

    private void ReadReal(ReadOnlySpan<byte> word)
    {
        // What %g makes of a number that is none; it tells no value.
        var number = word[1..];
        if (!Utf8Parser.TryParse(number, out double real, out var used) || used != number.Length)
        {
            real = double.NaN;
            if (!Encoding.ASCII.GetString(number).TrimStart('+', '-').StartsWith("inf", StringComparison.OrdinalIgnoreCase) && !Encoding.ASCII.GetString(number).TrimStart('+', '-').StartsWith("nan", StringComparison.OrdinalIgnoreCase))
                throw Wrong($"'{RecordingException.Shown(word)}' is no real number", "write it with a decimal point: 'r4.75 !'");
        }
        Real = real;
        ChangeOf(NextOr("an identifier code is expected behind a real number: 'r4.75 !'"), real: true);
    }

    /// <summary>Ports of the extended form: states, then two strengths for each that tell no level (clause 18.4.3; states as recalled).</summary>
    private void ReadPorts(ReadOnlySpan<byte> word)
    {
        var states = word[1..];
        if (states.IsEmpty)
            throw Wrong("'p' stands here without a state", "write the port's state right behind it: 'pU 6 6 <0'");
        Keep(states);
        for (var i = 0; i < _digits; i++)
        {
            _value[i] = (char)_value[i] switch
            {
                'D' or 'd' or 'L' or 'l' or '0' => (byte)'0',
                'U' or 'u' or 'H' or 'h' or '1' => (byte)'1',
                'N' or 'X' or '?' or 'A' or 'a' or 'B' or 'b' or 'C' or 'c' => (byte)'x',
                'Z' or 'T' or 'F' or 'f' => (byte)'z',
                var other => throw Wrong($"'{(other is > ' ' and <= '~' ? other : '?')}' is no state of a port", "those are D U N Z d u, L H X T l h and 0 1 ? F A a B b C c f"),
            };
        }
        for (var strength = 0; strength < 2; strength++)
            NextOr("two strengths and an identifier code are expected behind a port's state: 'pU 6 6 <0'");
        ChangeOf(NextOr("an identifier code is expected behind a port's strengths: 'pU 6 6 <0'"), real: false);
        if (_digits > _codes[Code].Size)
            throw Wrong($"{_digits.ToString(CultureInfo.InvariantCulture)} states for a port of {_codes[Code].Size.ToString(CultureInfo.InvariantCulture)} bits", "a port has at most as many states as its $var has bits");
    }

    private void Keep(ReadOnlySpan<byte> digits)
    {
        if (digits.Length > _value.Length)
            _value = new byte[Math.Max(digits.Length, _value.Length * 2)];
        digits.CopyTo(_value);
        _digits = digits.Length;
    }

    private void ChangeOf(ReadOnlySpan<byte> code, bool real)
    {
        var found = Find(code);
        if (found < 0)
            throw Wrong($"no variable has the identifier code '{RecordingException.Shown(code)}'", "each is declared by a $var in front of $enddefinitions");
        if (_codes[found].Real != real)
            throw Wrong($"the variable of code '{RecordingException.Shown(code)}' {(real ? "is no real" : "is a real")}, and this is {(real ? "a real number" : "none")}", real ? "write 0, 1, x or z, or a vector" : "write 'r' and a number");
        Code = found;
    }

    /// <returns>Null where it tells nothing.</returns>
    private VcdEvent? ReadCommand(ReadOnlySpan<byte> word)
    {
        if (word.SequenceEqual("$end"u8))
        {
            if (_block is null)
                throw Wrong("'$end' stands here, and nothing was begun", "it ends a $dump… or a $comment");
            _block = null;
            return null;
        }
        if (word.SequenceEqual("$comment"u8))
        {
            Comment = TextToEnd("$comment");
            return VcdEvent.Comment;
        }
        if (word.SequenceEqual("$dumpvars"u8) || word.SequenceEqual("$dumpall"u8) || word.SequenceEqual("$dumpon"u8) || word.SequenceEqual("$dumpoff"u8)
            || word.SequenceEqual("$dumpports"u8) || word.SequenceEqual("$dumpportsall"u8) || word.SequenceEqual("$dumpportson"u8) || word.SequenceEqual("$dumpportsoff"u8))
        {
            if (_block is var (open, line))
                throw Wrong($"{Encoding.ASCII.GetString(word)} stands within the block that {open} began in line {line.ToString(CultureInfo.InvariantCulture)}", "end that one first, with '$end'");
            _block = (Encoding.ASCII.GetString(word), _tokens.Line);
            return word.EndsWith("off"u8) ? VcdEvent.Off : null;
        }
        if (word.SequenceEqual("$var"u8) || word.SequenceEqual("$scope"u8) || word.SequenceEqual("$upscope"u8) || word.SequenceEqual("$timescale"u8) || word.SequenceEqual("$enddefinitions"u8))
            throw Wrong($"{Encoding.ASCII.GetString(word)} stands behind $enddefinitions", "declarations come first; were two files put together?");
        SkipToEnd(RecordingException.Shown(word));
        return null;
    }

    private VcdHeader ReadHeader()
    {
        var (date, version, comment) = ("", "", new StringBuilder());
        VcdTimescale? timescale = null;
        var scopes = new List<string>();
        var variables = ImmutableArray.CreateBuilder<VcdVariable>();
        var skipped = new List<string>();
        while (true)
        {
            var word = NextOr("'$enddefinitions $end' is expected in front of the values");
            switch (Encoding.ASCII.GetString(word[..Math.Min(word.Length, MostText)]))
            {
                case "$date":
                    date = TextToEnd("$date");
                    break;
                case "$version":
                    version = TextToEnd("$version");
                    break;
                case "$comment":
                    if (TextToEnd("$comment") is var text && comment.Length + text.Length <= MostText)
                        comment.Append(text).Append('\n');
                    break;
                case "$timescale":
                    var scale = TextToEnd("$timescale");
                    timescale = VcdTimescale.Read(scale) ?? throw Wrong($"'{RecordingException.Shown(scale)}' is no timescale", "it is 1, 10 or 100 and one of s, ms, us, ns, ps, fs: '$timescale 1 ns $end'");
                    break;
                case "$scope":
                    NextOr("the scope's type is expected: '$scope module top $end'");
                    scopes.Add(Identifier(NextOr("the scope's name is expected: '$scope module top $end'")));
                    SkipToEnd("$scope");
                    break;
                case "$upscope":
                    if (scopes.Count == 0)
                        throw Wrong("$upscope leaves a scope, and none is open", "each ends one $scope");
                    scopes.RemoveAt(scopes.Count - 1);
                    SkipToEnd("$upscope");
                    break;
                case "$var":
                    variables.Add(ReadVariable(string.Join('.', scopes)));
                    break;
                case "$enddefinitions":
                    SkipToEnd("$enddefinitions");
                    return new(
                        date, version, comment.ToString(), timescale ?? throw Wrong("no $timescale was given", "how long a step is has to be said in front of $enddefinitions: '$timescale 1 ns $end'"),
                        variables.DrainToImmutable(), _codes.Count, [.. skipped.Distinct()]);
                case ['$', ..] unknown:
                    // Other programs have keywords of their own; all end alike.
                    if (skipped.Count < MostText)
                        skipped.Add(RecordingException.Shown(unknown));
                    SkipToEnd(RecordingException.Shown(unknown));
                    break;
                case var other:
                    throw Wrong($"'{RecordingException.Shown(other)}' stands among the declarations", "a value change dump begins with $keywords up to '$enddefinitions $end'; is this one?");
            }
        }
    }

    private VcdVariable ReadVariable(string scope)
    {
        const string Example = "'$var wire 1 ! name $end'";
        var kind = Encoding.ASCII.GetString(NextOr($"the variable's type is expected: {Example}"));
        var sizeText = Encoding.ASCII.GetString(NextOr($"the variable's size is expected: {Example}"));
        var size = kind == "port" && Bounds(sizeText) is var (upper, lower) ? Math.Abs((long)upper - lower) + 1
            : long.TryParse(sizeText, NumberStyles.None, CultureInfo.InvariantCulture, out var whole) ? whole : 0;
        if (size is < 1 or > MostBits)
            throw Wrong($"'{RecordingException.Shown(sizeText)}' is no size", $"the number of bits is expected, at least 1: {Example}");
        var code = NextOr($"the variable's identifier code is expected: {Example}");
        var real = kind is "real" or "realtime";
        var index = Find(code);
        if (index < 0)
            index = Declare(code, (int)size, real);
        else if (_codes[index] != ((int)size, real))
            throw Wrong($"the code '{RecordingException.Shown(code)}' was given to a variable of another size or kind before", "variables that share a code are one and the same");
        var name = NextOr($"the variable's name is expected: {Example}");
        var escaped = name[0] == '\\';
        var reference = Identifier(name);
        var range = new StringBuilder();
        // A range may stand apart from the name, and in several words.
        while (NextOr("'$end' is expected behind a $var") is var word && !word.SequenceEqual("$end"u8))
        {
            if (range.Length < MostText)
                range.Append(Encoding.ASCII.GetString(word));
        }
        var bracket = reference.IndexOf('[', StringComparison.Ordinal);
        if (!escaped && bracket > 0)
        {
            range.Insert(0, reference[bracket..]);
            reference = reference[..bracket];
        }
        if (range.Length == 0)
            return new(scope, kind, (int)size, reference, null, index);
        if (Bounds(range.ToString()) is not var (most, least))
            throw Wrong($"'{RecordingException.Shown(range.ToString())}' is no range", "'[7:0]' or '[3]' may stand behind a name, and then '$end'");
        return new(scope, kind, (int)size, reference, (most, least), index);
    }

    /// <summary>Of one vector: more is a mistake in the file.</summary>
    private const int MostBits = 1 << 24;

    private static (int Most, int Least)? Bounds(string text)
    {
        if (text is not ['[', .. var inner, ']'])
            return null;
        var parts = inner.Split(':');
        return parts.Length <= 2 && int.TryParse(parts[0], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var most)
            && int.TryParse(parts[^1], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var least) ? (most, least) : null;
    }

    private int Declare(ReadOnlySpan<byte> code, int size, bool real)
    {
        foreach (var character in code)
        {
            if (character is < FirstCode or >= FirstCode + CodeCharacters)
                throw Wrong($"'{RecordingException.Shown(code)}' is no identifier code", "it is made of the printable characters ! to ~");
        }
        var index = _codes.Count;
        if (code.Length <= 2)
            _shortCodes[ShortCode(code)] = index;
        else
            _longCodes[Encoding.ASCII.GetString(code)] = index;
        _codes.Add((size, real));
        return index;
    }

    /// <summary>-1 where no variable has it.</summary>
    private int Find(ReadOnlySpan<byte> code)
    {
        if (code.Length <= 2)
            return ShortCode(code) is >= 0 and var place ? _shortCodes[place] : -1;
        const int Usual = 64;
        Span<char> text = code.Length <= Usual ? stackalloc char[Usual] : new char[code.Length];
        for (var i = 0; i < code.Length; i++)
            text[i] = (char)code[i];
        return _longCodeOf.TryGetValue(text[..code.Length], out var index) ? index : -1;
    }

    private static int ShortCode(ReadOnlySpan<byte> code)
    {
        var first = code[0] - FirstCode;
        var second = code.Length == 2 ? code[1] - FirstCode : 0;
        if (first is < 0 or >= CodeCharacters || second is < 0 or >= CodeCharacters)
            return -1;
        return code.Length == 1 ? first : CodeCharacters + (first * CodeCharacters) + second;
    }

    /// <summary>An escaped identifier begins with a backslash that is no part of it (clause 3.7.1).</summary>
    private static string Identifier(ReadOnlySpan<byte> word) => Encoding.UTF8.GetString(word[0] == '\\' ? word[1..] : word);

    private string TextToEnd(string keyword)
    {
        var (text, line) = (new StringBuilder(), _tokens.Line);
        while (_tokens.Next() is var word && !word.SequenceEqual("$end"u8))
        {
            if (word.IsEmpty)
                throw NoEnd(keyword, line);
            if (text.Length + word.Length < MostText)
                text.Append(text.Length > 0 ? " " : "").Append(Encoding.UTF8.GetString(word));
        }
        return text.ToString();
    }

    private void SkipToEnd(string keyword)
    {
        var line = _tokens.Line;
        while (_tokens.Next() is var word && !word.SequenceEqual("$end"u8))
        {
            if (word.IsEmpty)
                throw NoEnd(keyword, line);
        }
    }

    private RecordingException NoEnd(string keyword, long line) => Wrong("the file ends here", $"'$end' is expected behind {keyword}, which stands in line {line.ToString(CultureInfo.InvariantCulture)}");

    private ReadOnlySpan<byte> NextOr(string expected)
    {
        var word = _tokens.Next();
        return word.IsEmpty ? throw Wrong("the file ends here", expected) : word;
    }

    private RecordingException Wrong(string what, string remedy) => new(_file, _tokens.Line, what, remedy);
}
