using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>An isolator in the socket: it gives what its LED's current asks for, and no more, until it saturates; and it leaks. Its loads are the socket's own.</summary>
internal sealed class SocketSectionModel : IsolatorSectionModel
{
    /// <summary>A voltage far above the board's behind a resistance is a current.</summary>
    private const double SourceVolts = 1e6;

    /// <summary>An LED with less than this is dark.</summary>
    private const double LeastLedAmperes = 0.1e-3;

    /// <summary>What a tap of the socket is at is not changed by whoever reads it.</summary>
    private const double TapOhms = 1;

    /// <summary>What a collector leaks where its type does not tell (common practice).</summary>
    private const double UsualLeakage = 1e-9;

    private readonly double _leakage;

    public SocketSectionModel(EventQueue time, IsolatorPart part, double ledSupply, double outputSupply, Net cathode, Net anode, Net output, SectionFault fault, SocketedPart inSocket, Random random)
        : base(time, Actual(part, inSocket, random), ledSupply, outputSupply, cathode, output, fault, random, withLoad: false)
    {
        _leakage = inSocket.Leakage?.Value ?? ((part.IsolatorType.LeakageTypical?.Value ?? UsualLeakage) * Variation.Factor(random, 0.5));
        // Pulled out, the part leaves the anode to its resistor.
        var anodeTap = anode.Join(new(ledSupply, TapOhms));
        cathode.Listen(() => anodeTap.Set(new(ledSupply - (Led.Current * part.LedResistor.Value), TapOhms)));
        if (fault.Mode != SectionFaultMode.Removed)
            output.Join(new(outputSupply - Saturation, SaturatedOhms, Flow.OutOfNet));
    }

    protected override Drive? WhenOn => Source((Led.Current * TransferRatio) + _leakage);

    protected override Drive? WhenOff => Source(_leakage);

    protected override bool Asked(bool last)
    {
        _ = base.Asked(last);
        return Led.Current > LeastLedAmperes;
    }

    private static Drive Source(double amperes) => new(SourceVolts, SourceVolts / amperes, Flow.IntoNet);

    /// <summary>What this very part has where its type says what is typical.</summary>
    private static IsolatorPart Actual(IsolatorPart part, SocketedPart inSocket, Random random)
    {
        var type = part.IsolatorType;
        var forward = inSocket.Forward ?? new Volts(type.LedForwardTypical.Value * Variation.Factor(random, 0.04));
        return part with
        {
            IsolatorType = type with
            {
                LedForwardTypical = forward,
                TransferRatioTypical = (type.TransferRatioTypical ?? (type.TransferRatioMinimum * TypicalMargin)) * inSocket.TransferFactor,
            },
        };
    }

    /// <summary>Parts of a type are sold with so much more than its minimum (common practice).</summary>
    private const double TypicalMargin = 1.5;
}
