using System.Device.I2c;
using TestRig.Bench.Adapters.Gpio;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>The library's MCP23017 driver on a bus that is a table of registers.</summary>
public class ExpanderTests
{
    [Fact]
    public async Task Lines_are_driven_read_back_and_answered_through_the_chips_registers()
    {
        var clock = new VirtualClock();
        var chip = new Chip(clock);
        await using var adapter = GpioAdapter.Open(new ExpanderBoard(chip, "I²C bus 1, address 0x20"), ["GPA3", "GPB1"], clock);
        Assert.Equal(["GPA0", "GPA7", "GPB0", "GPB7"], new[] { 0, 7, 8, 15 }.Select(pin => adapter.Pins[pin].Name));
        Assert.False(adapter.Identity.ArmsHighCleanly);
        await adapter.ArmAsync(new([new("GPA3", Level.Low, Duration.FromMilliseconds(500), Duration.Zero, [])], [], [], Duration.FromMilliseconds(5000)), CancellationToken.None);
        Assert.Equal([false], (await adapter.CheckLeadsAsync(["GPB1"], CancellationToken.None)).Select(lead => lead.Follows));
        var run = await adapter.RunAsync(
            new([new LinesStep(Duration.FromMilliseconds(20), ["GPA3"]), new LinesStep(Duration.FromMilliseconds(60), [])], Duration.FromMilliseconds(90)), CancellationToken.None);
        Assert.Equal([Level.High, Level.Low], run.Capture.Find("GPA3")!.Changes.Select(change => change.Level));
        Assert.Equal([Level.Low, Level.High], run.Capture.Find("GPB1")!.Changes.Select(change => change.Level));
        // A transfer for a look and two for a write are within the stated resolution: nothing was late.
        Assert.Empty(run.Capture.Gaps);
        await adapter.ReleaseAsync(CancellationToken.None);
        Assert.Equal(0xFF, chip.Direction);
    }

    /// <summary>
    /// Registers in pairs A and B at 00 (IODIR: 1 is input), 0C (GPPU), 12 (GPIO), 14 (OLAT): Microchip data sheet DS20001952, table 3-1 (value from memory).
    /// A wire inverts pin A3 into B1. A transfer takes 0.3 ms.
    /// </summary>
    private sealed class Chip(VirtualClock clock) : I2cDevice
    {
        private readonly byte[] _registers = [0xFF, 0xFF, .. new byte[30]];
        private int _at;

        public byte Direction => _registers[0];

        public override I2cConnectionSettings ConnectionSettings { get; } = new(1, 0x20);

        public override void Read(Span<byte> buffer)
        {
            clock.Pass(VirtualClock.Millisecond * 3 / 10);
            for (var one = 0; one < buffer.Length; one++)
                buffer[one] = ReadOne(_at++);
        }

        public override void Write(ReadOnlySpan<byte> buffer)
        {
            clock.Pass(VirtualClock.Millisecond * 3 / 10);
            _at = buffer[0];
            foreach (var value in buffer[1..])
                // A write to GPIO is a write to the output latch.
                _registers[_at is 0x12 or 0x13 ? _at++ + 2 : _at++] = value;
        }

        public override void WriteRead(ReadOnlySpan<byte> writeBuffer, Span<byte> readBuffer)
        {
            Write(writeBuffer);
            Read(readBuffer);
        }

        private byte ReadOne(int register) => register switch
        {
            0x12 => (byte)(_registers[0x14] & ~_registers[0]),
            0x13 => (byte)((ReadOne(0x12) & 8) == 0 ? 2 : 0),
            _ => _registers[register],
        };
    }
}
