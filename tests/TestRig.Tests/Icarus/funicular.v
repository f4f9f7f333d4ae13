// The board of funicular.yaml as a circuit, from the data sheets' figures by hand, and somebody who presses its three buttons. One fault at a time is put in by a
// macro on the compiler's command line. Every delay that funicular.yaml permits, and each that is out of it, stands here as a number.
`timescale 1 ns / 1 ns

`ifndef U1_RISE
`define U1_RISE 7
`endif
`ifndef U1_FALL
`define U1_FALL 12
`endif
`ifndef U2_RISE
`define U2_RISE 12
`endif
`ifndef U2_FALL
`define U2_FALL 12
`endif
`ifndef U2_UP_RISE
`define U2_UP_RISE `U2_RISE
`endif
`ifndef U2_UP_FALL
`define U2_UP_FALL `U2_FALL
`endif

module board(input [2:0] command);
  wire \U1.18 , \U1.16 , \U1.14 , \U2.18 , \U2.16 , \U2.14 ;
  reg q1_collector, k1_contact;
  integer bounce;

  // 74LS240: inverting, tPLH 7 ns typical, 14 ns at most; tPHL 12 ns typical, 18 ns at most.
`ifdef U1_DEAD
  assign \U1.18 = 1'bz; // nothing drives it
`else
  not #(`U1_RISE, `U1_FALL) (\U1.18 , command[0]);
`endif
`ifdef U1_16_STUCK_HIGH
  assign \U1.16 = 1'b1;
`elsif U1_16_STUCK_LOW
  assign \U1.16 = 1'b0;
`elsif U1_16_INVERTED
  buf #(`U1_RISE, `U1_FALL) (\U1.16 , command[1]);
`elsif CROSSED
  not #(`U1_RISE, `U1_FALL) (\U1.16 , command[2]);
`else
  not #(`U1_RISE, `U1_FALL) (\U1.16 , command[1]);
`endif
`ifdef CROSSED
  not #(`U1_RISE, `U1_FALL) (\U1.14 , command[1]);
`else
  not #(`U1_RISE, `U1_FALL) (\U1.14 , command[2]);
`endif

  // 74LS244: not inverting, 12 ns typical, 18 ns at most, both ways.
  buf #(`U2_RISE, `U2_FALL) (\U2.18 , \U1.18 );
  buf #(`U2_UP_RISE, `U2_UP_FALL) (\U2.16 , \U1.16 );
`ifdef UNKNOWN
  assign \U2.14 = 1'bx;
`else
  buf #(`U2_RISE, `U2_FALL) (\U2.14 , \U1.14 );
`endif

  // BC337: base high, collector low; on in 1 us, off in 5 us, and its coil's net back up.
  initial q1_collector = 1'b1;
`ifndef Q1_DEAD
  always @(posedge \U2.18 ) q1_collector <= #1000 1'b0;
  always @(negedge \U2.18 ) q1_collector <= #5000 1'b1;
`endif

  // The relay: 8 ms to its contact's first change, either way; it bounces twice within 1 ms, or, worn, twelve times within 10 ms (10 times and 6.2 ms are permitted).
  initial k1_contact = 1'b1;
`ifdef WORN
  `define TURNS 24
  `define TURN 400000
`else
  `define TURNS 4
  `define TURN 200000
`endif
`ifdef K1_DEAD
`else
  always @(negedge q1_collector) begin
    #8000000 k1_contact = 1'b0;
    for (bounce = 0; bounce < `TURNS; bounce = bounce + 1) #`TURN k1_contact = ~k1_contact;
  end
  always @(posedge q1_collector) #8000000 k1_contact = 1'b1;
`endif
endmodule

module test;
  reg [2:0] command;
  board board(command);

  task press(input integer button, input integer how_long);
    begin
      command[button] = 1'b0;
      #how_long command[button] = 1'b1;
      #60000000;
    end
  endtask

  initial begin
    $dumpfile(`DUMP);
    $dumpvars;
    command = 3'b111;
    #10000000;
    press(0, 100000000);
`ifdef OFF_FOR_A_MOMENT
    fork
      press(1, 1000000);
      begin #500000 $dumpoff; #100000 $dumpon; end
    join
`else
    press(1, 1000000);
`endif
    press(2, 1000000);
    press(1, 2000000);
    $finish;
  end
endmodule
