using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using FsCheck;
using FsCheck.Fluent;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.Properties;

/// <summary>A board of channels of all kinds, as a profile: read, checked and derived as any user's is.</summary>
/// <param name="SharedPackages">Whether channels share their packages; never those of <paramref name="Apart"/>.</param>
/// <param name="Apart">One more channel that has nothing in common with the others, supplies included.</param>
internal sealed record GeneratedBoard(ImmutableArray<GeneratedChain> Chains, bool SharedPackages, GeneratedChain? Apart)
{
    /// <summary>Begins the names of all that belongs to the channel apart.</summary>
    public const string ApartPrefix = "X";

    private static readonly string[] _inverterPins = ["1>2", "3>4", "5>6"];

    private static readonly string[] _bufferPins = ["2>18", "4>16", "6>14"];

    public static Gen<GeneratedBoard> Any { get; } =
        from count in Gen.Choose(1, 2)
        from chains in Gen.ArrayOf(GeneratedChain.Any, count)
        from shared in Gen.Elements(true, false)
        select new GeneratedBoard([.. chains], shared, Apart: null);

    public override string ToString() => $"{string.Join("; ", Chains)}{(SharedPackages ? "; packages shared" : "")}";

    public Board Build() => WrittenBoard.Of(new Writer().Write(this));

    private sealed class Writer
    {
        private readonly StringBuilder _supplies = new(), _lines = new(), _points = new(), _channels = new();
        private readonly Dictionary<string, string> _parts = [];
        private int _digital = 30, _analog;

        public string Write(GeneratedBoard board)
        {
            Supplies("");
            for (var index = 0; index < board.Chains.Length; index++)
                Channel(board.Chains[index], "", index, board.SharedPackages);
            if (board.Apart is { } apart)
            {
                Supplies(ApartPrefix);
                Channel(apart, ApartPrefix, board.Chains.Length, sharedPackages: false);
            }
            var parts = string.Concat(_parts.Select(part => $"  {part.Key}: {part.Value}\n"));
            return $"format: testrig-profile/1\nboard: {{ name: Generated (invented) }}\nsupplies:\n{_supplies}parts:\n{parts}lines:\n{_lines}test-points:\n{_points}channels:\n{_channels}";
        }

        private void Supplies(string prefix) => _supplies.Append(CultureInfo.InvariantCulture,
            $"  {prefix}logic: {{ volts: 5 V ± 5 % }}\n  {prefix}isolated: {{ volts: 12 V ± 10 % }}\n  {prefix}station: {{ volts: 24 V ± 10 % }}\n");

        private void Channel(GeneratedChain chain, string prefix, int number, bool sharedPackages)
        {
            var (name, drive) = ($"{prefix}channel-{number}", $"{prefix}J{number}");
            var hold = chain.IdlesHigh ? $"idle: high, pull-up: 4.7 kohm to {prefix}logic" : "idle: low, pull-down: 1 kohm";
            _lines.Append(CultureInfo.InvariantCulture, $"  {name}: {{ adapter: D{22 + number}, {hold}, motion: false, longest-on: 500 ms, rest: 50 ms }}\n");
            _points.Append(CultureInfo.InvariantCulture, $"  {drive}: {{ adapter: D{22 + number} }}\n");
            var stages = new List<(string Path, string Output, string Divider)>();
            for (var place = 0; place < chain.Buffers.Length; place++)
            {
                var type = chain.Buffers[place];
                var package = sharedPackages ? $"U{place}{type[^3..]}" : $"{prefix}U{number}{place}";
                var section = (type == "74LS04" ? _inverterPins : _bufferPins)[sharedPackages ? number : 0];
                _parts[package] = $"{{ type: {type}, supply: {prefix}logic }}";
                stages.Add(($"{package} {section}", $"{package}.{section.Split('>')[1]}", ""));
            }
            stages.AddRange(End(chain.End, prefix, number));
            for (var place = 0; place < stages.Count; place++)
            {
                if (place == stages.Count - 1 || chain.Seen[place])
                    _points.Append(CultureInfo.InvariantCulture, $"  {stages[place].Output}: {{ adapter: {Pin(chain.Voltages)}{stages[place].Divider} }}\n");
            }
            _channels.Append(CultureInfo.InvariantCulture, $"  {name}: {{ drive: {name} at {drive}, path: [ {string.Join(", ", stages.Select(stage => stage.Path))} ] }}\n");
        }

        private IEnumerable<(string Path, string Output, string Divider)> End(ChainEnd end, string prefix, int number)
        {
            const string ForTwelve = ", divider: 100 kohm / 47 kohm", ForTwentyFour = ", divider: 100 kohm / 22 kohm";
            string Named(string letters) => string.Create(CultureInfo.InvariantCulture, $"{prefix}{letters}{number}");
            if (end == ChainEnd.OpenCollector)
            {
                _parts[Named("V")] = $"{{ type: 7407, supply: {prefix}logic, output: {{ from: {prefix}logic, load: 1 kohm }} }}";
                yield return ($"{Named("V")} 1>2", $"{Named("V")}.2", "");
            }
            if (end is ChainEnd.Isolator or ChainEnd.Contactor)
            {
                _parts[Named("OK")] = $"{{ type: 4N25, led: {{ from: {prefix}logic, resistor: 220 ohm }}, output: {{ from: {prefix}isolated, load: 10 kohm, taken-at: collector }} }}";
                yield return (Named("OK"), $"{Named("OK")}.5", ForTwelve);
            }
            if (end == ChainEnd.Contactor)
            {
                _parts[Named("Q")] = $"{{ type: BD140, supply: {prefix}isolated }}";
                yield return (Named("Q"), $"{Named("Q")}.C", ForTwelve);
            }
            if (end is ChainEnd.Lamp or ChainEnd.Relay)
            {
                _parts[Named("Q")] = $"{{ type: BC337, supply: {prefix}station }}";
                yield return (Named("Q"), $"{Named("Q")}.C", ForTwentyFour);
            }
            if (end == ChainEnd.Relay)
            {
                _parts[Named("K")] = $"{{ type: relay-24V, supply: {prefix}logic }}";
                yield return (Named("K"), $"{Named("K")}.NO", "");
            }
        }

        private string Pin(bool voltages) => voltages && _analog < 16
            ? string.Create(CultureInfo.InvariantCulture, $"A{_analog++}")
            : string.Create(CultureInfo.InvariantCulture, $"D{_digital++}");
    }
}
