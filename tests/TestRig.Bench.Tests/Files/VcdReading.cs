using System.Globalization;

namespace TestRig.Bench.Tests.Files;

/// <summary>
/// A reader of value change dumps written from the grammar of IEEE 1364-2005 clause 18.2 ("value_change_dump_definitions ::=") and shares nothing with the
/// writer. It refuses whatever the grammar does not allow.
/// </summary>
internal sealed class VcdReading
{
    private static readonly string[] _declarations = ["$comment", "$date", "$enddefinitions", "$scope", "$timescale", "$upscope", "$var", "$version"];

    private readonly string[] _tokens;
    private readonly Dictionary<string, Variable> _byCode = [];
    private readonly Stack<string> _scopes = new();
    private int _next;

    private VcdReading(string text) => _tokens = text.Split([' ', '\t', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries);

    public sealed record Variable(string Scope, string Type, int Size, string Code, string Name)
    {
        /// <summary>Values in time; vectors are left-extended to their size.</summary>
        public List<(long At, string Value)> Values { get; } = [];

        public string At(long time) => Values.Last(entry => entry.At <= time).Value;
    }

    public string Comment { get; private set; } = "";

    public string Timescale { get; private set; } = "";

    public long LastTime { get; private set; } = -1;

    public IReadOnlyCollection<Variable> Variables => _byCode.Values;

    public Variable this[string scope, string name] => _byCode.Values.Single(variable => variable.Scope == scope && variable.Name == name);

    public static VcdReading Of(string text)
    {
        var reading = new VcdReading(text);
        reading.ReadDeclarations();
        reading.ReadSimulation();
        return reading;
    }

    private void ReadDeclarations()
    {
        while (true)
        {
            var keyword = Take();
            if (!_declarations.Contains(keyword))
                throw new FormatException($"'{keyword}' is no declaration");
            var body = Body();
            switch (keyword)
            {
                case "$comment":
                    Comment += string.Join(' ', body);
                    break;
                case "$timescale":
                    Timescale = string.Concat(body);
                    break;
                case "$scope" when body is [("module" or "task" or "function" or "begin" or "fork"), var name]:
                    _scopes.Push(Plain(name));
                    break;
                case "$upscope" when body.Count == 0:
                    _scopes.Pop();
                    break;
                case "$var" when body.Count >= 4:
                    if (body[2].Any(character => character is < '!' or > '~'))
                        throw new FormatException($"'{body[2]}' is no identifier code");
                    _byCode.Add(
                        body[2], new(string.Join('/', _scopes.Reverse()), body[0], int.Parse(body[1], CultureInfo.InvariantCulture), body[2], Plain(string.Concat(body.Skip(3)))));
                    break;
                case "$enddefinitions" when body.Count == 0:
                    if (_scopes.Count > 0)
                        throw new FormatException("a scope is still open");
                    return;
                case "$date" or "$version":
                    break;
                default:
                    throw new FormatException($"{keyword} {string.Join(' ', body)}");
            }
        }
    }

    private void ReadSimulation()
    {
        var inBlock = false;
        while (_next < _tokens.Length)
        {
            var token = Take();
            // A code may begin with # or $, but a simulation command never does: the first character of a value decides.
            if (token[0] == '#')
            {
                var time = long.Parse(token[1..], NumberStyles.None, CultureInfo.InvariantCulture);
                if (time <= LastTime)
                    throw new FormatException($"time {time} does not come after {LastTime}");
                LastTime = time;
            }
            else if (token == "$comment")
            {
                Comment += string.Join(' ', Body());
            }
            else if (token is "$dumpvars" or "$dumpall" or "$dumpoff" or "$dumpon" && !inBlock)
            {
                inBlock = true;
            }
            else if (token == "$end" && inBlock)
            {
                inBlock = false;
            }
            else
            {
                ReadChange(token);
            }
        }
        if (inBlock)
            throw new FormatException("a dump block is not ended");
    }

    private void ReadChange(string token)
    {
        switch (token[0])
        {
            case '0' or '1' or 'x' or 'X' or 'z' or 'Z':
                Keep(token[1..], token[..1]);
                break;
            case 'b' or 'B':
                Keep(Take(), token[1..]);
                break;
            case 'r' or 'R':
                var real = double.Parse(token[1..], NumberStyles.Float, CultureInfo.InvariantCulture);
                Keep(Take(), real.ToString("R", CultureInfo.InvariantCulture));
                break;
            default:
                throw new FormatException($"'{token}' is no value change");
        }
    }

    private void Keep(string code, string value)
    {
        var variable = _byCode[code];
        if (variable.Type != "real")
        {
            // Clause 18.2.1, left extension: 0 and 1 extend with 0, x with x, z with z.
            var extension = char.ToLowerInvariant(value[0]) is 'x' or 'z' ? value[0] : '0';
            value = value.PadLeft(variable.Size, extension);
            if (value.Length > variable.Size)
                throw new FormatException($"'{value}' is wider than {variable.Name}");
        }
        variable.Values.Add((LastTime, value));
    }

    private string Take() => _next < _tokens.Length ? _tokens[_next++] : throw new FormatException("the dump ends in the middle");

    private List<string> Body()
    {
        var body = new List<string>();
        for (var token = Take(); token != "$end"; token = Take())
            body.Add(token);
        return body;
    }

    /// <summary>Clause 3.7.1: the backslash of an escaped identifier is not part of the name.</summary>
    private static string Plain(string reference) => reference.StartsWith('\\') ? reference[1..] : reference;
}
